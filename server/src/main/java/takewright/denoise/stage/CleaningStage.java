package takewright.denoise.stage;

import java.io.IOException;
import takewright.audio.AudioSource;
import takewright.audio.PassingSource;

/**
 * One stage of the cleaning: it reads its source in blocks of one size and gives each out once what
 * follows it is known. As many frames come out as went in.
 */
public abstract class CleaningStage extends PassingSource {
  /** Number of channels. */
  protected final int channels;

  /** What is given out, channel by channel. */
  protected final float[][] block;

  private long framesIn;
  private long framesOut;
  private boolean ended;
  private int at;
  private int end;

  /**
   * @param size frames of a block
   */
  protected CleaningStage(AudioSource source, int size) {
    super(source);
    channels = source.channels();
    block = new float[channels][size];
  }

  /** Reads a block on with {@link #fill}, and gives one out with {@link #give} where it can. */
  protected abstract void next() throws IOException;

  @Override
  public final int read(float[][] planar, int offset, int count) throws IOException {
    if (count == 0) {
      return 0;
    }
    while (at == end) {
      if (ended && framesOut >= framesIn) {
        return -1;
      }
      next();
    }
    int n = Math.min(count, end - at);
    for (int c = 0; c < channels; c++) {
      System.arraycopy(block[c], at, planar[c], offset, n);
    }
    at += n;
    framesOut += n;
    return n;
  }

  /** Reads a whole block, or what is left of the source; answers how many frames that were. */
  protected final int fill(float[][] into) throws IOException {
    int n = 0;
    int size = block[0].length;
    while (!ended && n < size) {
      int got = source.read(into, n, size - n);
      if (got < 0) {
        ended = true;
      } else {
        n += got;
      }
    }
    framesIn += n;
    return n;
  }

  /** Gives {@link #block} out from a frame of it on, as far as the source had audio for it. */
  protected final void give(int from) {
    at = Math.min(from, block[0].length);
    end = (int) Math.max(at, Math.min(block[0].length, at + framesIn - framesOut));
  }
}
