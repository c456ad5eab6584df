package takewright.report;

import takewright.dsp.Peak;

/**
 * The waveform of a sound: the lowest and highest sample of each of a number of equal stretches.
 */
final class Waveform {
  private Waveform() {}

  /**
   * Two signed bytes per column, lowest then highest.
   *
   * @param columns 1 or more; each is as wide as all others
   * @param full the amplitude that becomes 127, above 0
   */
  static byte[] of(float[] x, int columns, float full) {
    byte[] outline = new byte[2 * columns];
    for (int c = 0; c < columns; c++) {
      int from = (int) ((long) x.length * c / columns);
      int to = (int) ((long) x.length * (c + 1) / columns);
      float min = 0;
      float max = 0;
      for (int i = from; i < to; i++) {
        // Math.min and Math.max also order zeros and NaNs, which takes three times as long.
        min = x[i] < min ? x[i] : min;
        max = x[i] > max ? x[i] : max;
      }
      outline[2 * c] = scaled(min / full);
      outline[2 * c + 1] = scaled(max / full);
    }
    return outline;
  }

  /** The largest amplitude, at least -80 dBFS, so that silence is not magnified. */
  static float peak(float[] x) {
    return Math.max(1e-4f, Peak.of(x, 0, x.length));
  }

  /** Rounded away from zero, so that soft sounds stay visible. */
  private static byte scaled(float x) {
    double away = x < 0 ? Math.floor(127 * x) : Math.ceil(127 * x);
    return (byte) Math.max(-127, Math.min(127, away));
  }
}
