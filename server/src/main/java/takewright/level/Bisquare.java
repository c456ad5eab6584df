package takewright.level;

import takewright.dsp.Medians;

/** Tukey's bisquare weights: near values count fully, far ones not at all. */
final class Bisquare {
  /** Of a normal spread, 4.685 standard deviations are 6.95 median deviations; as is usual. */
  private static final double REACH_OF_LOCATION = 6.95;

  /**
   * But this far away at least, in dB: a player's hand strays by 2 dB, and of two or three values
   * the median deviation says little.
   */
  private static final double MIN_REACH_DB = 6;

  private static final int STEPS = 10;

  private Bisquare() {}

  /**
   * Weights of residuals.
   *
   * @param off residuals
   * @param reach this many times their median size have the weight 0
   * @param weights where to
   */
  static void weights(double[] off, double reach, double[] weights) {
    double[] size = new double[off.length];
    for (int i = 0; i < size.length; i++) {
      size[i] = Math.abs(off[i]);
    }
    double scale = Math.max(reach * Medians.of(size), MIN_REACH_DB);
    for (int i = 0; i < off.length; i++) {
      double u = off[i] / scale;
      weights[i] = Math.abs(u) < 1 ? (1 - u * u) * (1 - u * u) : 0;
    }
  }

  /** The robust mean of values. */
  static double location(double[] values) {
    double at = Medians.of(values);
    double[] off = new double[values.length];
    double[] weights = new double[values.length];
    for (int step = 0; step < STEPS; step++) {
      double sum = 0;
      double weight = 0;
      for (int i = 0; i < values.length; i++) {
        off[i] = values[i] - at;
      }
      weights(off, REACH_OF_LOCATION, weights);
      for (int i = 0; i < values.length; i++) {
        sum += weights[i] * values[i];
        weight += weights[i];
      }
      if (weight <= 0) {
        return at;
      }
      at = sum / weight;
    }
    return at;
  }
}
