package takewright.dsp;

/**
 * Linear prediction: the filter that makes a stationary signal as white as its order allows. By the
 * autocorrelation method and Levinson's recursion (Makhoul, "Linear prediction: a tutorial review",
 * Proc. IEEE 63(4), 1975).
 */
public final class LinearPrediction {
  /**
   * White noise added to the autocorrelation, as a share of the power (-50 dB): keeps it stable.
   */
  private static final double CONDITIONING = 1e-5;

  /** Lags that are summed side by side, since sums that wait for each other take longest. */
  private static final int LAGS = 4;

  private LinearPrediction() {}

  /**
   * Coefficients of the whitening filter e[n] = x[n] + sum of a[k] x[n - k], k from 1 to the order.
   *
   * @param audio samples
   * @param from first sample used
   * @param to first sample after those used
   * @param order number of coefficients behind the first, 1 or more
   * @return order + 1 values, the first of them 1; all others 0 for silence
   */
  public static double[] whitening(float[] audio, int from, int to, int order) {
    return whitening(audio, from, to, order, CONDITIONING);
  }

  /**
   * The same with other conditioning.
   *
   * @param conditioning white noise added to the autocorrelation, as a share of the power
   */
  static double[] whitening(float[] audio, int from, int to, int order, double conditioning) {
    double[] r = new double[order + 1];
    for (int lag = 0; lag <= order; lag += LAGS) {
      correlate(audio, from, to, lag, r);
    }
    r[0] *= 1 + conditioning;
    double[] a = new double[order + 1];
    a[0] = 1;
    double error = r[0];
    double[] next = new double[order + 1];
    for (int m = 1; m <= order && error > 0; m++) {
      double sum = r[m];
      for (int k = 1; k < m; k++) {
        sum += a[k] * r[m - k];
      }
      double reflection = -sum / error;
      for (int k = 1; k < m; k++) {
        next[k] = a[k] + reflection * a[m - k];
      }
      next[m] = reflection;
      System.arraycopy(next, 1, a, 1, m);
      error *= 1 - reflection * reflection;
    }
    return a;
  }

  /** Sums the autocorrelation at a lag and at the three behind it, as far as they are asked for. */
  private static void correlate(float[] audio, int from, int to, int lag, double[] r) {
    double[] sums = new double[LAGS];
    int together = Math.min(to, from + lag + LAGS - 1);
    for (int j = 0; j < LAGS; j++) {
      for (int i = from + lag + j; i < together; i++) {
        sums[j] += (double) audio[i] * audio[i - lag - j];
      }
    }
    double a = sums[0];
    double b = sums[1];
    double c = sums[2];
    double d = sums[3];
    for (int i = together; i < to; i++) {
      double x = audio[i];
      a += x * audio[i - lag];
      b += x * audio[i - lag - 1];
      c += x * audio[i - lag - 2];
      d += x * audio[i - lag - 3];
    }
    sums[0] = a;
    sums[1] = b;
    sums[2] = c;
    sums[3] = d;
    for (int j = 0; j < LAGS && lag + j < r.length; j++) {
      r[lag + j] = sums[j];
    }
  }

  /** The signal behind the filter {@code a}; samples before the first count as 0. */
  public static float[] filter(float[] audio, double[] a) {
    float[] out = new float[audio.length];
    for (int i = 0; i < audio.length; i++) {
      double sum = 0;
      int reach = Math.min(i, a.length - 1);
      for (int k = 0; k <= reach; k++) {
        sum += a[k] * audio[i - k];
      }
      out[i] = (float) sum;
    }
    return out;
  }
}
