package takewright.segment;

/**
 * Where in a take what went wrong in a sound is heard; each is null where nothing is.
 *
 * @param foreign where most of what is heard beside a note lies
 * @param knock the sharpest blow over it
 * @param behind from where on something else rises as it dies away, up to its end
 * @param clipped from the first peak that is cut off to the last
 * @param gap from the first gap to the last
 */
public record FlawPlaces(
    FrameRange foreign, FrameRange knock, FrameRange behind, FrameRange clipped, FrameRange gap) {
  /** Nowhere. */
  static final FlawPlaces NONE = new FlawPlaces(null, null, null, null, null);

  /** With peaks that are cut off, and gaps. */
  FlawPlaces withDamage(FrameRange clippedPeaks, FrameRange gaps) {
    return new FlawPlaces(foreign, knock, behind, clippedPeaks, gaps);
  }

  /** The same, counted from a beginning that lies so many frames earlier. */
  FlawPlaces later(long by) {
    return new FlawPlaces(
        later(foreign, by),
        later(knock, by),
        later(behind, by),
        later(clipped, by),
        later(gap, by));
  }

  private static FrameRange later(FrameRange range, long by) {
    return range == null ? null : range.later(by);
  }
}
