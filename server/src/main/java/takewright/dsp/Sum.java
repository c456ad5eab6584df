package takewright.dsp;

/** The sum of values. */
public final class Sum {
  private Sum() {}

  /**
   * The sum, in double precision.
   *
   * @param from index of the first value
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
      a += x[i];
      b += x[i + 1];
      c += x[i + 2];
      d += x[i + 3];
    }
    for (; i < to; i++) {
      a += x[i];
    }
    return (a + b) + (c + d);
  }
}
