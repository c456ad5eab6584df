package takewright.dsp;

import java.util.Arrays;
import java.util.Collection;

/** Middles of many values, which a few wrong ones do not move. */
public final class Medians {
  private Medians() {}

  /** The median of all values; they are left as they are. NaN for none. */
  public static double of(double[] values) {
    return of(values, values.length);
  }

  /** The same of values in a collection. */
  public static double of(Collection<Double> values) {
    return of(values.stream().mapToDouble(Double::doubleValue).toArray());
  }

  /** The median of the first {@code n} values; they are left as they are. NaN for none. */
  public static double of(double[] values, int n) {
    if (n == 0) {
      return Double.NaN;
    }
    double[] sorted = Arrays.copyOf(values, n);
    Arrays.sort(sorted);
    return n % 2 == 1 ? sorted[n / 2] : 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]);
  }

  /** The median of the values from {@code from} to before {@code to}; NaN for none. */
  public static double of(double[] values, int from, int to) {
    return of(Arrays.copyOfRange(values, from, to));
  }

  /** The value at which half of the weight lies on either side. NaN for no weight. */
  public static double weighted(double[] values, double[] weights, int n) {
    Integer[] order = new Integer[n];
    double total = 0;
    for (int i = 0; i < n; i++) {
      order[i] = i;
      total += weights[i];
    }
    Arrays.sort(order, (a, b) -> Double.compare(values[a], values[b]));
    double sum = 0;
    for (int i = 0; i < n; i++) {
      double before = sum;
      sum += weights[order[i]];
      if (sum == total / 2 && i + 1 < n) {
        return 0.5 * (values[order[i]] + values[order[i + 1]]);
      }
      if (sum > total / 2) {
        // Between the two values on either side of the half, so that no single one decides.
        if (i == 0 || before == 0) {
          return values[order[i]];
        }
        double middle = before + weights[order[i]] / 2;
        if (middle >= total / 2) {
          double last = before - weights[order[i - 1]] / 2;
          double part = (total / 2 - last) / (middle - last);
          return values[order[i - 1]] + part * (values[order[i]] - values[order[i - 1]]);
        }
        if (i + 1 < n) {
          double next = sum + weights[order[i + 1]] / 2;
          double part = (total / 2 - middle) / (next - middle);
          return values[order[i]] + part * (values[order[i + 1]] - values[order[i]]);
        }
        return values[order[i]];
      }
    }
    return Double.NaN;
  }
}
