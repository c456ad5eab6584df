package takewright.segment;

/**
 * A stretch of frames.
 *
 * @param start first frame, 0 or more
 * @param end first frame after it, not before {@code start}
 */
public record FrameRange(long start, long end) {
  public FrameRange {
    if (start < 0 || end < start) {
      throw new IllegalArgumentException("not a range of frames: " + start + " to " + end);
    }
  }

  /** The same stretch, counted from a beginning that lies so many frames earlier. */
  FrameRange later(long by) {
    return new FrameRange(start + by, end + by);
  }

  /** Number of frames. */
  public long length() {
    return end - start;
  }
}
