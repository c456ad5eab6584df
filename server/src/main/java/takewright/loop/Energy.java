package takewright.loop;

/** The energy of any stretch of a sound, from the sums up to each frame. */
final class Energy {
  /** By frame: the sum of the squares of all before it. */
  private final double[] before;

  Energy(float[] x) {
    before = new double[x.length + 1];
    double sum = 0;
    for (int i = 0; i < x.length; i++) {
      sum += (double) x[i] * x[i];
      before[i + 1] = sum;
    }
  }

  /** Of {@code count} frames from {@code from} on. */
  double of(int from, int count) {
    return before[from + count] - before[from];
  }
}
