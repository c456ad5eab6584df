package takewright.library.folder;

/**
 * How a sample is held and let go. What there is none of is null.
 *
 * @param start first frame of the loop in the sample
 * @param end last frame of the loop, played too
 * @param fade frames over which the loop is cross-faded
 * @param releaseMs release time, in milliseconds
 * @param reason why there is no loop, or what is not good about a fair one, as one word; empty if
 *     there is a good one or none was looked for
 */
public record LoopAndRelease(Long start, Long end, Integer fade, Double releaseMs, String reason) {
  /** Of what has no sample. */
  public static final LoopAndRelease NONE = new LoopAndRelease(null, null, null, null, "");

  public LoopAndRelease {
    reason = reason == null ? "" : reason;
  }

  public boolean hasLoop() {
    return start != null && end != null;
  }
}
