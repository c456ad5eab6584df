package takewright.dsp;

/** The sum of the squares of samples. */
public final class SumOfSquares {
  private SumOfSquares() {}

  /**
   * The sum, in double precision; NaN if a sample is no number.
   *
   * @param from index of the first sample
   * @param to index after the last
   */
  public static double of(float[] x, int from, int to) {
    // In four sums, which do not wait for each other.
    double a = 0;
    double b = 0;
    double c = 0;
    double d = 0;
    int i = from;
    for (; i + 3 < to; i += 4) {
      a += (double) x[i] * x[i];
      b += (double) x[i + 1] * x[i + 1];
      c += (double) x[i + 2] * x[i + 2];
      d += (double) x[i + 3] * x[i + 3];
    }
    for (; i < to; i++) {
      a += (double) x[i] * x[i];
    }
    return a + b + (c + d);
  }
}
