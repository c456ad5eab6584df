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

  /** So many hops, the first of which lies around a frame. */
  static FrameRange around(long middle, int hops, int hop) {
    long start = Math.max(0, middle - hop / 2);
    return new FrameRange(start, start + (long) hops * hop);
  }

  /** The same stretch, whose frames are counted from a point that lies this much earlier. */
  FrameRange later(long by) {
    return new FrameRange(start + by, end + by);
  }

  /** Number of frames. */
  public long length() {
    return end - start;
  }
}
