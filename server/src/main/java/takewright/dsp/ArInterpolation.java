package takewright.dsp;

import java.util.Arrays;

/**
 * Fills a gap in a signal with what an autoregressive model of its surroundings leaves least
 * surprise with: the unknown samples that make the sum of the squared prediction errors smallest
 * (A. Janssen, R. Veldhuis and L. Vries, "Adaptive interpolation of discrete-time signals that can
 * be modeled as autoregressive processes", IEEE Trans. ASSP 34(2), 1986). The model and the gap are
 * found in turns.
 */
public final class ArInterpolation {
  /** Iterations over model and gap: the paper finds little change after the third. */
  private static final int TURNS = 3;

  /** White noise in the model, as a share of the power; more would lose faint partials. */
  private static final double CONDITIONING = 1e-8;

  private ArInterpolation() {}

  /**
   * Fills {@code x[from]} to {@code x[to - 1]} in place.
   *
   * @param x the surroundings; at least {@code order} samples on either side of the gap
   * @param from first sample of the gap
   * @param to first sample after it; the work grows with the cube of its length
   * @param order of the model
   */
  public static void fill(float[] x, int from, int to, int order) {
    if (from < order || to > x.length - order || to <= from) {
      throw new IllegalArgumentException(
          "a gap from " + from + " to " + to + " needs " + order + " samples on either side");
    }
    int n = to - from;
    float step = (x[to] - x[from - 1]) / (n + 1);
    for (int i = 0; i < n; i++) {
      x[from + i] = x[from - 1] + (i + 1) * step;
    }
    double[][] matrix = new double[n][n];
    double[] right = new double[n];
    float[] window = Windows.hann(x.length);
    float[] shaped = new float[x.length];
    for (int turn = 0; turn < TURNS; turn++) {
      for (int i = 0; i < x.length; i++) {
        shaped[i] = x[i] * window[i];
      }
      double[] b =
          correlation(LinearPrediction.whitening(shaped, 0, x.length, order, CONDITIONING));
      for (int i = 0; i < n; i++) {
        for (int j = 0; j <= i; j++) {
          matrix[i][j] = i - j <= order ? b[i - j] : 0;
        }
        right[i] = 0;
        for (int lag = -order; lag <= order; lag++) {
          int at = from + i + lag;
          if (at < from || at >= to) {
            right[i] -= b[Math.abs(lag)] * x[at];
          }
        }
      }
      if (!solve(matrix, right)) {
        return;
      }
      for (int i = 0; i < n; i++) {
        x[from + i] = (float) right[i];
      }
    }
  }

  private static double[] correlation(double[] a) {
    double[] b = new double[a.length];
    for (int lag = 0; lag < a.length; lag++) {
      for (int i = 0; i + lag < a.length; i++) {
        b[lag] += a[i] * a[i + lag];
      }
    }
    return b;
  }

  /** Cholesky's decomposition of the lower triangle, in place; false if it has none. */
  private static boolean solve(double[][] m, double[] right) {
    int n = right.length;
    for (int i = 0; i < n; i++) {
      for (int j = 0; j <= i; j++) {
        double sum = m[i][j];
        for (int k = 0; k < j; k++) {
          sum -= m[i][k] * m[j][k];
        }
        if (j < i) {
          m[i][j] = sum / m[j][j];
        } else if (sum > 0) {
          m[i][i] = Math.sqrt(sum);
        } else {
          return false;
        }
      }
    }
    for (int i = 0; i < n; i++) {
      for (int k = 0; k < i; k++) {
        right[i] -= m[i][k] * right[k];
      }
      right[i] /= m[i][i];
    }
    for (int i = n - 1; i >= 0; i--) {
      for (int k = i + 1; k < n; k++) {
        right[i] -= m[k][i] * right[k];
      }
      right[i] /= m[i][i];
    }
    return Arrays.stream(right).allMatch(Double::isFinite);
  }
}
