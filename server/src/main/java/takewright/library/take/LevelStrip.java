package takewright.library.take;

import java.io.IOException;
import java.util.Arrays;
import takewright.audio.AudioSource;
import takewright.audio.PassingSource;
import takewright.dsp.Decibels;
import takewright.dsp.Peak;

/**
 * Records the peaks of a source while it is read, so that the take can be drawn without reading it
 * again.
 */
public final class LevelStrip extends PassingSource {
  /** Seconds per step: on a minute across a screen, a step is a pixel. */
  public static final double STEP_S = 0.05;

  /** Level of byte 0, in dBFS: below it rooms are, and nothing that is played. */
  public static final double LOWEST_DBFS = -80;

  /**
   * How far the peak of even noise lies over its RMS in a step, in dB: the greatest of 2400 values
   * of a normal distribution is 3.5 standard deviations in the mean.
   */
  private static final double NOISE_PEAK_DB = 11;

  private byte[] levels = new byte[1024];
  private int steps;
  private long at;
  private long stepEnd;
  private float peak;

  public LevelStrip(AudioSource source) {
    super(source);
    stepEnd = end(0);
  }

  private long end(int step) {
    return Math.round((step + 1) * STEP_S * sampleRate());
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    int n = super.read(planar, offset, count);
    int from = offset;
    while (from < offset + n) {
      int part = (int) Math.min(offset + n - from, stepEnd - at);
      for (int c = 0; c < channels(); c++) {
        peak = Math.max(peak, Peak.of(planar[c], from, from + part));
      }
      from += part;
      at += part;
      if (at == stepEnd) {
        close(peak);
      }
    }
    return n;
  }

  /** As {@link #levels}, the peak that noise has in a step. */
  public static byte ofNoise(double rmsDbfs) {
    return level(rmsDbfs + NOISE_PEAK_DB);
  }

  private static byte level(double dbfs) {
    double share = 1 - dbfs / LOWEST_DBFS;
    return (byte) Math.round(255 * Math.max(0, Math.min(1, share)));
  }

  private void close(float max) {
    if (steps == levels.length) {
      levels = Arrays.copyOf(levels, 2 * steps);
    }
    levels[steps++] = level(Decibels.fromAmplitude(Math.max(1e-9, max)));
    stepEnd = end(steps);
    peak = 0;
  }

  /** One byte per step read so far, as described in {@link TakeHeard}. */
  public byte[] levels() {
    return Arrays.copyOf(levels, steps);
  }
}
