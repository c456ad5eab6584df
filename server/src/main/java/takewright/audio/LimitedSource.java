package takewright.audio;

import java.io.IOException;

/** The next frames of a source, and no more. */
public final class LimitedSource extends PassingSource {
  private final long frames;
  private long at;

  /**
   * @param frames at most this many are passed on
   */
  public LimitedSource(AudioSource source, long frames) {
    super(source);
    this.frames = frames;
  }

  @Override
  public long frames() {
    return frames;
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    if (at >= frames) {
      return -1;
    }
    int n = super.read(planar, offset, (int) Math.min(count, frames - at));
    at += Math.max(0, n);
    return n;
  }
}
