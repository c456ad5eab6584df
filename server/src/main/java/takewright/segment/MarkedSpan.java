package takewright.segment;

/**
 * A stretch of a take that a person marked as one region.
 *
 * @param start where it is cut, as a frame, 0 or more
 * @param end first frame after it; null: where its sound dies away, or the next one starts
 */
public record MarkedSpan(long start, Long end) {
  public MarkedSpan {
    if (start < 0 || end != null && end <= start) {
      throw new IllegalArgumentException("not a stretch of frames: " + start + " to " + end);
    }
  }
}
