package takewright.dsp;

/**
 * Windows for the short-time Fourier transform, in their periodic form: the sample that would close
 * the symmetric window is left off, so that copies shifted by a whole fraction of the length add up
 * to a constant. Formulas after F. J. Harris, "On the use of windows for harmonic analysis with the
 * discrete Fourier transform", Proc. IEEE 66 (1978).
 */
public final class Windows {
  private Windows() {}

  /** Hann: 0.5 - 0.5 cos(2 pi i / n). Highest side lobe -31 dB. */
  public static float[] hann(int n) {
    return cosineSum(n, 0.5, 0.5);
  }

  /** Square root of {@link #hann}: applied before and after a transform the two make one Hann. */
  public static float[] rootHann(int n) {
    float[] w = new float[n];
    for (int i = 0; i < n; i++) {
      w[i] = (float) Math.sin(Math.PI * i / n);
    }
    return w;
  }

  /** Hamming: 0.54 - 0.46 cos(2 pi i / n). Highest side lobe -43 dB. */
  public static float[] hamming(int n) {
    return cosineSum(n, 0.54, 0.46);
  }

  /** Blackman-Harris of four terms. Highest side lobe -92 dB, main lobe 8 bins wide. */
  public static float[] blackmanHarris(int n) {
    return cosineSum(n, 0.35875, 0.48829, 0.14128, 0.01168);
  }

  /** The sum of a window's samples: what it makes of the amplitude of a constant. */
  public static double sum(float[] window) {
    double sum = 0;
    for (float w : window) {
      sum += w;
    }
    return sum;
  }

  /** The sum of a window's squared samples: what it makes of the power of white noise. */
  public static double power(float[] window) {
    double sum = 0;
    for (float w : window) {
      sum += (double) w * w;
    }
    return sum;
  }

  private static float[] cosineSum(int n, double... terms) {
    if (n < 1) {
      throw new IllegalArgumentException("a window needs at least one sample, not " + n);
    }
    float[] w = new float[n];
    for (int i = 0; i <= n / 2; i++) {
      double sum = 0;
      for (int t = 0; t < terms.length; t++) {
        double term = terms[t] * Math.cos(2 * Math.PI * t * i / n);
        sum += t % 2 == 0 ? term : -term;
      }
      w[i] = (float) sum;
      w[(n - i) % n] = w[i];
    }
    return w;
  }
}
