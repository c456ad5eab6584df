package takewright.dsp;

/**
 * The windowed ideal low-pass: a sinc under a Kaiser window (J. F. Kaiser, "Nonrecursive digital
 * filter design using the I0-sinh window function", 1974). Time is counted in samples, frequency in
 * cycles a sample.
 */
public final class KaiserSinc {
  private final double cutoff;
  private final double halfWidth;
  private final double beta;

  /**
   * A kernel.
   *
   * @param cutoff middle of the transition in cycles a sample, where the gain is one half
   * @param halfWidth the kernel is 0 from here on, in samples either side
   * @param attenuation of the stop band in dB, above 50
   */
  public KaiserSinc(double cutoff, double halfWidth, double attenuation) {
    this.cutoff = cutoff;
    this.halfWidth = halfWidth;
    // Kaiser's fit, good above 50 dB.
    this.beta = 0.1102 * (attenuation - 8.7);
  }

  /**
   * Half the width, in samples, that a kernel needs.
   *
   * @param transition from the pass band's edge to the stop band's, in cycles a sample
   * @param attenuation of the stop band in dB
   */
  public static double halfWidth(double transition, double attenuation) {
    // Kaiser's fit: length - 1 = (A - 7.95) / (2.285 dw), with dw in radians a sample.
    return (attenuation - 7.95) / (2.285 * 2 * Math.PI * transition) / 2;
  }

  /** The kernel {@code t} samples from its middle; the gain at 0 Hz is about 1. */
  public double at(double t) {
    double x = t / halfWidth;
    if (Math.abs(x) >= 1) {
      return 0;
    }
    double phase = 2 * Math.PI * cutoff * t;
    double sinc = Math.abs(phase) < 1e-9 ? 1 : Math.sin(phase) / phase;
    return 2 * cutoff * sinc * window(x, beta);
  }

  /** Kaiser's window from -1 to 1, where it ends; 1 in its middle. */
  static double window(double x, double beta) {
    return besselI0(beta * Math.sqrt(Math.max(0, 1 - x * x))) / besselI0(beta);
  }

  /** The modified Bessel function of the first kind and order 0, by its power series. */
  private static double besselI0(double x) {
    double quarter = x * x / 4;
    double term = 1;
    double sum = 1;
    for (int k = 1; term > sum * 1e-17; k++) {
      term *= quarter / ((double) k * k);
      sum += term;
    }
    return sum;
  }
}
