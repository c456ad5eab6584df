package takewright.library.folder;

/**
 * Loop and release of a sample. Missing values are null.
 *
 * @param start first frame of the loop in the sample
 * @param end last frame of the loop, played too
 * @param fade frames over which the loop is cross-faded
 * @param releaseMs release time, in milliseconds
 * @param reason why there is no loop, or what is not good about a fair one, as one word; empty if
 *     there is a good one or none was looked for
 */
public record LoopAndRelease(Long start, Long end, Integer fade, Double releaseMs, String reason) {
  /** For rows without a sample. */
  public static final LoopAndRelease NONE = new LoopAndRelease(null, null, null, null, "");

  public LoopAndRelease {
    reason = reason == null ? "" : reason;
  }

  public boolean hasLoop() {
    return start != null && end != null;
  }
}
