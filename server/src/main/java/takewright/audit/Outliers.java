package takewright.audit;

import java.util.Arrays;
import takewright.dsp.Medians;

/**
 * Finds values that differ from those of neighbouring samples: further from the median of their
 * nearest neighbours in pitch than usual, measured by the median absolute deviation (MAD), which a
 * few outliers do not move. The MAD is never taken to be less than a floor, so that a group without
 * any spread does not accuse what nobody hears.
 */
final class Outliers {
  /** Fewer samples do not show what is usual. */
  static final int MIN_SAMPLES = 6;

  /** Number of neighbours that a sample is compared with. */
  private static final int NEIGHBOURS = 8;

  /** Standard deviation over MAD, for a normal distribution. */
  private static final double MAD_TO_SIGMA = 1.4826;

  private Outliers() {}

  /**
   * How far each value is off in units of the usual difference; NaN if it is not known.
   *
   * @param at where each sample lies, its pitch in semitones
   * @param values NaN for not known
   * @param floor least usual difference, in the unit of the values
   */
  static double[] scores(double[] at, double[] values, double floor) {
    return scores(at, values, floor, Double.MAX_VALUE);
  }

  /**
   * As above.
   *
   * @param ceiling greatest usual difference, in the unit of the values
   */
  static double[] scores(double[] at, double[] values, double floor, double ceiling) {
    return scores(differences(at, values), floor, ceiling);
  }

  /**
   * The same of known differences from the neighbours.
   *
   * @param off NaN for not known
   */
  static double[] scores(double[] off, double floor, double ceiling) {
    int n = off.length;
    double[] known = Arrays.stream(off).filter(x -> !Double.isNaN(x)).toArray();
    double[] scores = new double[n];
    Arrays.fill(scores, Double.NaN);
    if (known.length < MIN_SAMPLES) {
      return scores;
    }
    double middle = Medians.of(known);
    double[] distances = Arrays.stream(known).map(x -> Math.abs(x - middle)).toArray();
    double sigma = Math.min(ceiling, Math.max(floor, MAD_TO_SIGMA * Medians.of(distances)));
    for (int i = 0; i < n; i++) {
      scores[i] = off[i] / sigma;
    }
    return scores;
  }

  /** Each value minus the median of its neighbours. */
  static double[] differences(double[] at, double[] values) {
    int n = values.length;
    double[] off = new double[n];
    for (int i = 0; i < n; i++) {
      int self = i;
      Integer[] order = new Integer[n];
      for (int k = 0; k < n; k++) {
        order[k] = k;
      }
      Arrays.sort(
          order, (a, b) -> Double.compare(Math.abs(at[a] - at[self]), Math.abs(at[b] - at[self])));
      double[] near =
          Arrays.stream(order)
              .filter(k -> k != self && !Double.isNaN(values[k]))
              .limit(NEIGHBOURS)
              .mapToDouble(k -> values[k])
              .toArray();
      off[i] = near.length == 0 ? Double.NaN : values[i] - Medians.of(near);
    }
    return off;
  }
}
