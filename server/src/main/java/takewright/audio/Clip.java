package takewright.audio;

import java.io.IOException;
import java.util.Arrays;

/**
 * A piece of audio held in memory: one array of samples per channel, 32-bit float, full scale at
 * ±1.
 *
 * <p>The arrays are shared, not copied: the creator of a clip gives them away, and readers must not
 * change them.
 */
public final class Clip {
  private final int sampleRate;
  private final float[][] channels;

  private Clip(int sampleRate, float[][] channels) {
    this.sampleRate = sampleRate;
    this.channels = channels;
  }

  /**
   * A clip of the given samples.
   *
   * @param sampleRate frames per second, above 0
   * @param channels samples by channel, at least one channel, all of one length
   */
  public static Clip of(int sampleRate, float[]... channels) {
    if (sampleRate <= 0) {
      throw new IllegalArgumentException("sample rate must be above 0, not " + sampleRate);
    }
    if (channels.length == 0) {
      throw new IllegalArgumentException("a clip needs at least one channel");
    }
    for (float[] channel : channels) {
      if (channel.length != channels[0].length) {
        throw new IllegalArgumentException("all channels of a clip must have the same length");
      }
    }
    return new Clip(sampleRate, channels.clone());
  }

  /**
   * Reads up to {@code frames} frames from the position of {@code source}; fewer if it ends before.
   */
  public static Clip read(AudioSource source, int frames) throws IOException {
    float[][] channels = new float[source.channels()][frames];
    int got = 0;
    while (got < frames) {
      int n = source.read(channels, got, frames - got);
      if (n < 0) {
        break;
      }
      got += n;
    }
    if (got < frames) {
      for (int c = 0; c < channels.length; c++) {
        channels[c] = Arrays.copyOf(channels[c], got);
      }
    }
    return new Clip(source.sampleRate(), channels);
  }

  /** Frames per second. */
  public int sampleRate() {
    return sampleRate;
  }

  /** Number of channels, at least 1. */
  public int channels() {
    return channels.length;
  }

  /** Number of frames, 0 or more. */
  public int frames() {
    return channels[0].length;
  }

  /** The samples of one channel; not a copy, read only. */
  public float[] channel(int index) {
    return channels[index];
  }

  /** The mean of all channels; the channel itself, not a copy, where there is only one. */
  public float[] mono() {
    if (channels.length == 1) {
      return channels[0];
    }
    float[] mean = new float[frames()];
    for (float[] channel : channels) {
      for (int i = 0; i < mean.length; i++) {
        mean[i] += channel[i];
      }
    }
    float share = 1f / channels.length;
    for (int i = 0; i < mean.length; i++) {
      mean[i] *= share;
    }
    return mean;
  }

  /** A copy of the frames from {@code from} (inclusive) to {@code to} (exclusive). */
  public Clip slice(int from, int to) {
    float[][] part = new float[channels.length][];
    for (int c = 0; c < channels.length; c++) {
      part[c] = Arrays.copyOfRange(channels[c], from, to);
    }
    return new Clip(sampleRate, part);
  }

  /** A source that reads this clip from its start, block by block. */
  public AudioSource source() {
    return new AudioSource() {
      private int at;

      @Override
      public int sampleRate() {
        return sampleRate;
      }

      @Override
      public int channels() {
        return channels.length;
      }

      @Override
      public long frames() {
        return Clip.this.frames();
      }

      @Override
      public int read(float[][] planar, int offset, int count) {
        int n = Math.min(count, Clip.this.frames() - at);
        if (n <= 0 && count > 0) {
          return -1;
        }
        for (int c = 0; c < channels.length; c++) {
          System.arraycopy(channels[c], at, planar[c], offset, n);
        }
        at += n;
        return n;
      }

      @Override
      public void close() {}
    };
  }
}
