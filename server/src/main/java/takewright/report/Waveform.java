package takewright.report;

/** The outline of a sound: the lowest and highest sample of each of so many equal stretches. */
final class Waveform {
  private Waveform() {}

  /**
   * Two signed bytes a column, lowest then highest; 127 is full scale.
   *
   * @param columns 1 or more; each is as wide as all others, and at least one sample
   */
  static byte[] of(float[] x, int columns) {
    byte[] outline = new byte[2 * columns];
    for (int c = 0; c < columns; c++) {
      int from = (int) ((long) x.length * c / columns);
      int to = (int) ((long) x.length * (c + 1) / columns);
      float least = 0;
      float most = 0;
      for (int i = from; i < to; i++) {
        least = Math.min(least, x[i]);
        most = Math.max(most, x[i]);
      }
      outline[2 * c] = scaled(least);
      outline[2 * c + 1] = scaled(most);
    }
    return outline;
  }

  /** Away from zero, so that what sounds softly is still seen to be there. */
  private static byte scaled(float x) {
    double away = x < 0 ? Math.floor(127 * x) : Math.ceil(127 * x);
    return (byte) Math.max(-127, Math.min(127, away));
  }
}
