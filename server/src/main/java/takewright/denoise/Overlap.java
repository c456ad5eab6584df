package takewright.denoise;

/** What overlapping frames have in common. */
final class Overlap {
  private Overlap() {}

  /**
   * Variance of white noise's power at a bin, smoothed over frames and bins, relative to its mean
   * squared: 1 without smoothing, and less the more independent values there are to smooth. For
   * Gaussian noise the correlation of two powers is the squared correlation of the bins.
   *
   * <p>Only pairs with the middle bin are counted, so it is also the share of the smoothed power
   * that moves with that bin.
   */
  static double spread(float[] window, int hop, int frames, int bins) {
    double sum = 0;
    for (int t = -frames; t <= frames; t++) {
      for (int f = -bins; f <= bins; f++) {
        sum += correlation(window, Math.abs(t) * hop, f);
      }
    }
    return sum / ((2 * frames + 1) * (2 * bins + 1));
  }

  private static double correlation(float[] window, int lag, int bins) {
    double re = 0;
    double im = 0;
    double energy = 0;
    int n = window.length;
    for (int i = 0; i < n; i++) {
      energy += (double) window[i] * window[i];
      if (i + lag < n) {
        double product = (double) window[i] * window[i + lag];
        double angle = 2 * Math.PI * bins * i / n;
        re += product * Math.cos(angle);
        im += product * Math.sin(angle);
      }
    }
    return (re * re + im * im) / (energy * energy);
  }
}
