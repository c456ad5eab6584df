package takewright.denoise.band;

/** Correlation of overlapping frames. */
public final class Overlap {
  private Overlap() {}

  /**
   * The share of a bin's smoothed noise power that moves with that bin: 1 without smoothing. For
   * Gaussian noise the correlation of two powers is the squared correlation of the bins.
   *
   * @param window the analysis window
   * @param hop samples from frame to frame
   * @param frames reach of the smoothing in frames, each way
   * @param bins reach of the smoothing in bins, each way
   */
  public static double share(float[] window, int hop, int frames, int bins) {
    double sum = 0;
    for (int t = -frames; t <= frames; t++) {
      for (int f = -bins; f <= bins; f++) {
        sum += correlation(window, Math.abs(t) * hop, f);
      }
    }
    return sum / ((2 * frames + 1) * (2 * bins + 1));
  }

  /**
   * The variance of smoothed noise power over its mean squared: 1 without smoothing, and less the
   * more independent values there are to smooth.
   *
   * @param window the analysis window
   * @param hop samples from frame to frame
   * @param width frames smoothed over
   * @param height bins smoothed over
   */
  public static double variance(float[] window, int hop, int width, int height) {
    double sum = 0;
    for (int t = 1 - width; t < width; t++) {
      for (int f = 1 - height; f < height; f++) {
        int pairs = (width - Math.abs(t)) * (height - Math.abs(f));
        sum += pairs * correlation(window, Math.abs(t) * hop, f);
      }
    }
    return sum / ((double) width * width * height * height);
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
