package takewright.report;

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
    byte[] grey = new byte[BANDS * columns];
    for (int c = 0; c < columns; c++) {
      int from = (int) ((c + 0.5) * x.length / columns) - size / 2;
      for (int i = 0; i < size; i++) {
        int at = from + i;
        work[i] = at < 0 || at >= x.length ? 0 : x[at] * window[i];
      }
      fft.forward(work);
      fft.power(work, power);
      for (int b = 0; b < BANDS; b++) {
        double max = 0;
        for (int k = edges[2 * b]; k < edges[2 * b + 1]; k++) {
          max = Math.max(max, power[k]);
        }
        grey[(BANDS - 1 - b) * columns + c] = shade(max * unit * unit);
      }
    }
    return grey;
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

  private static byte shade(double power) {
    if (power <= 0) {
      return 0;
    }
    double db = Decibels.fromPower(power) - DARKEST_DBFS;
    double stepped = STEP_DB * Math.round(db / STEP_DB);
    return (byte) Math.round(255 * Math.max(0, Math.min(1, stepped / RANGE_DB)));
  }
}
