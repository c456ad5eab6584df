package takewright.report;

import java.util.Arrays;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * A small spectrogram: Hann windows of about 40 ms, their power in bands of equal width on a
 * logarithmic scale.
 */
final class Spectrogram {
  /** Edges of the lowest and highest band, in hertz: the range of instruments and their breath. */
  static final double LOWEST_HZ = 30;

  static final double HIGHEST_HZ = 16_000;

  /** Bands, 8 per octave: as many as a small picture can show. */
  static final int BANDS = 72;

  /** Band power that is drawn black, in dBFS: that of a quiet room. */
  static final double DARKEST_DBFS = -108;

  /** Range from black to white, in dB. */
  static final double RANGE_DB = 96;

  /** Steps of 3 dB, finer than the eye distinguishes; coarse steps compress well. */
  private static final double STEP_DB = 3;

  /** A window of at least this length, in seconds, separates 50 Hz from 75 Hz. */
  private static final double WINDOW_S = 0.04;

  /** Columns closer than this, in seconds, would show the same sound twice. */
  private static final double COLUMN_S = 0.01;

  /** The power from which on a band is drawn a step lighter, step by step; half a step rounds. */
  private static final float[] STEPS = new float[(int) (RANGE_DB / STEP_DB)];

  static {
    for (int i = 0; i < STEPS.length; i++) {
      STEPS[i] = (float) Decibels.toPower(DARKEST_DBFS + (i + 0.5) * STEP_DB);
    }
  }

  private Spectrogram() {}

  /** As many columns as the sound fills, at most {@code max}. */
  static int columns(int frames, int sampleRate, int max) {
    return (int) Math.max(1, Math.min(max, frames / (COLUMN_S * sampleRate)));
  }

  /**
   * One byte a band and column, 0 to 255 by level, highest band first, row by row.
   *
   * @param x the sound; windows reach over its ends into silence
   */
  static byte[] of(float[] x, int sampleRate, int columns) {
    int size = Integer.highestOneBit(Math.max(2, (int) (2 * WINDOW_S * sampleRate) - 1));
    Fft fft = Fft.of(size);
    float[] window = Windows.hann(size);
    double unit = 2 / Windows.sum(window);
    float[] work = new float[size];
    float[] power = new float[fft.bins()];
    int[] edges = edges(size, sampleRate);
    float scale = (float) (unit * unit);
    byte[] grey = new byte[BANDS * columns];
    for (int c = 0; c < columns; c++) {
      window(x, (int) ((c + 0.5) * x.length / columns) - size / 2, window, work);
      fft.powerOf(work, power);
      for (int b = 0; b < BANDS; b++) {
        float max = 0;
        for (int k = edges[2 * b]; k < edges[2 * b + 1]; k++) {
          max = power[k] > max ? power[k] : max;
        }
        grey[(BANDS - 1 - b) * columns + c] = shade(max * scale);
      }
    }
    return grey;
  }

  /** A part of a sound under a window; silence where it reaches beyond the sound. */
  private static void window(float[] x, int from, float[] window, float[] part) {
    int first = Math.min(part.length, Math.max(0, -from));
    int last = Math.max(first, Math.min(part.length, x.length - from));
    Arrays.fill(part, 0, first, 0);
    for (int i = first; i < last; i++) {
      part[i] = x[from + i] * window[i];
    }
    Arrays.fill(part, last, part.length, 0);
  }

  /** First bin of each band and the first one after it; a band below the bins' width has one. */
  private static int[] edges(int size, int sampleRate) {
    int[] edges = new int[2 * BANDS];
    double hzPerBin = (double) sampleRate / size;
    for (int b = 0; b < BANDS; b++) {
      int from = (int) Math.round(hz(b) / hzPerBin);
      int to = (int) Math.round(hz(b + 1) / hzPerBin);
      edges[2 * b] = Math.min(size / 2, from);
      edges[2 * b + 1] = Math.min(size / 2 + 1, Math.max(from + 1, to));
    }
    return edges;
  }

  /** Lower edge of a band in hertz. */
  private static double hz(int band) {
    return LOWEST_HZ * Math.pow(HIGHEST_HZ / LOWEST_HZ, (double) band / BANDS);
  }

  /**
   * A level's colour as 0xRRGGBB: from near black through blue to a pale yellow, lighter all the
   * way, so that its lightness alone tells the level. The page draws in the same colours.
   *
   * @param level 0 to 255
   */
  static int colour(int level) {
    double x = level / 255.0;
    int red = (int) (255 * Math.min(1, 0.03 + 1.35 * Math.pow(Math.max(0, x - 0.28), 1.1)));
    int green = (int) (255 * Math.min(1, 0.03 + 1.02 * Math.pow(x, 1.7)));
    int blue = (int) (255 * Math.min(1, 0.08 + 1.5 * x * (1 - 0.62 * x)));
    return red << 16 | green << 8 | blue;
  }

  /** The step of a power. A logarithm for each band would take as long as the transforms. */
  private static byte shade(float power) {
    int step = 0;
    for (int half = Integer.highestOneBit(STEPS.length); half > 0; half /= 2) {
      step += step + half <= STEPS.length && power >= STEPS[step + half - 1] ? half : 0;
    }
    return (byte) Math.round(255 * step * STEP_DB / RANGE_DB);
  }
}
