package takewright.sheet;

/**
 * The part of a recording that is a take, in seconds from the recording's beginning.
 *
 * @param fromS where it begins, 0 or more
 * @param toS where it ends, after its beginning; infinite for the end of the recording
 */
public record Span(double fromS, double toS) {
  /** A whole recording. */
  public static final Span WHOLE = new Span(0, Double.POSITIVE_INFINITY);

  public Span {
    if (!(fromS >= 0 && toS > fromS)) {
      throw new IllegalArgumentException("not a part of a recording: " + fromS + " to " + toS);
    }
  }

  public boolean isWhole() {
    return equals(WHOLE);
  }

  /** Whether a time lies in it. */
  public boolean contains(double atS) {
    return atS >= fromS && atS < toS;
  }

  /** Whether two parts share a time. */
  public boolean overlaps(Span other) {
    return fromS < other.toS && other.fromS < toS;
  }
}
