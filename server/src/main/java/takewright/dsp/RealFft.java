package takewright.dsp;

/**
 * The transform of real signals by a complex one of half the size (J. W. Cooley, P. A. W. Lewis and
 * P. D. Welch, "The fast Fourier transform algorithm: programming considerations in the calculation
 * of sine, cosine and Laplace transforms", J. Sound Vib. 12, 1970), packed as in {@link Fft}. Not
 * for use by several threads at once.
 */
final class RealFft {
  private final int half;
  private final SplitFft fft;
  private final float[] evenOnes;
  private final float[] oddOnes;

  /** By bin, half the cosine and the sine of its share of a circle. */
  private final float[] cos;

  private final float[] sin;

  /**
   * A transform of a size.
   *
   * @param size number of samples: twice what {@link SplitFft} takes
   */
  RealFft(int size) {
    half = size / 2;
    fft = new SplitFft(half);
    evenOnes = new float[half];
    oddOnes = new float[half];
    cos = new float[half / 2];
    sin = new float[half / 2];
    for (int k = 0; k < half / 2; k++) {
      cos[k] = (float) (0.5 * StrictMath.cos(2 * Math.PI * k / size));
      sin[k] = (float) (0.5 * StrictMath.sin(2 * Math.PI * k / size));
    }
  }

  /** Transforms the even samples and the odd ones, as the real and the imaginary parts. */
  private void part(float[] x) {
    float[] re = evenOnes;
    float[] im = oddOnes;
    for (int i = 0; i < half; i++) {
      re[i] = x[2 * i];
      im[i] = x[2 * i + 1];
    }
    fft.forward(re, im);
  }

  /** The squared magnitudes of the bins alone: half as much is written. */
  void power(float[] samples, float[] to) {
    part(samples);
    int length = fft.rowLength();
    int last = fft.rowCount() - 1;
    float[] re = fft.re();
    float[] im = fft.im();
    to[0] = (re[0] + im[0]) * (re[0] + im[0]);
    to[half] = (re[0] - im[0]) * (re[0] - im[0]);
    int middle = fft.row((last + 1) / 2);
    to[half / 2] = re[middle] * re[middle] + im[middle] * im[middle];
    for (int row = 0; row <= last / 2; row++) {
      int a = fft.row(row);
      if (row > 0) {
        powers(re, im, a, fft.row(last + 1 - row), row * length, 1, to);
      }
      powers(re, im, a + 1, fft.row(last - row) + length - 1, row * length + 1, length - 1, to);
    }
  }

  /** As {@link #unravel}, of which only the power is kept. */
  private void powers(float[] re, float[] im, int a, int b, int k, int count, float[] to) {
    float[] c = cos;
    float[] s = sin;
    int top = half - k;
    for (int i = 0; i < count; i++) {
      float sumRe = 0.5f * (re[a + i] + re[b - i]);
      float sumIm = 0.5f * (im[a + i] - im[b - i]);
      float lessRe = re[a + i] - re[b - i];
      float lessIm = im[a + i] + im[b - i];
      float oddRe = c[k + i] * lessIm - s[k + i] * lessRe;
      float oddIm = c[k + i] * lessRe + s[k + i] * lessIm;
      float lowRe = sumRe + oddRe;
      float lowIm = sumIm - oddIm;
      float highRe = sumRe - oddRe;
      float highIm = sumIm + oddIm;
      to[k + i] = lowRe * lowRe + lowIm * lowIm;
      to[top - i] = highRe * highRe + highIm * highIm;
    }
  }

  void forward(float[] inPlace) {
    float[] x = inPlace;
    part(x);
    int length = fft.rowLength();
    int last = fft.rowCount() - 1;
    float[] re = fft.re();
    float[] im = fft.im();
    x[0] = re[0] + im[0];
    x[1] = re[0] - im[0];
    int middle = fft.row((last + 1) / 2);
    x[half] = re[middle];
    x[half + 1] = -im[middle];
    for (int row = 0; row <= last / 2; row++) {
      int a = fft.row(row);
      if (row > 0) {
        unravel(re, im, a, fft.row(last + 1 - row), row * length, 1, x);
      }
      // Bin half - k lies in the row that is as far from the last, as far from its end.
      unravel(re, im, a + 1, fft.row(last - row) + length - 1, row * length + 1, length - 1, x);
    }
  }

  /**
   * Bins k on, up from {@code a}, and half - k, down from {@code b}: of the even samples' transform
   * and the odd ones', which lie in what is the same to both sides, and what is not.
   */
  private void unravel(float[] re, float[] im, int a, int b, int k, int count, float[] x) {
    float[] c = cos;
    float[] s = sin;
    int top = 2 * (half - k);
    for (int i = 0; i < count; i++) {
      float sumRe = 0.5f * (re[a + i] + re[b - i]);
      float sumIm = 0.5f * (im[a + i] - im[b - i]);
      float lessRe = re[a + i] - re[b - i];
      float lessIm = im[a + i] + im[b - i];
      float oddRe = c[k + i] * lessIm - s[k + i] * lessRe;
      float oddIm = c[k + i] * lessRe + s[k + i] * lessIm;
      x[2 * (k + i)] = sumRe + oddRe;
      x[2 * (k + i) + 1] = sumIm - oddIm;
      x[top - 2 * i] = sumRe - oddRe;
      x[top - 2 * i + 1] = -sumIm - oddIm;
    }
  }

  void inverse(float[] inPlace) {
    float[] x = inPlace;
    float[] re = evenOnes;
    float[] im = oddOnes;
    re[0] = 0.5f * (x[0] + x[1]);
    im[0] = 0.5f * (x[0] - x[1]);
    re[half / 2] = x[half];
    im[half / 2] = -x[half + 1];
    float[] c = cos;
    float[] s = sin;
    for (int k = 1; k < half / 2; k++) {
      float sumRe = 0.5f * (x[2 * k] + x[2 * (half - k)]);
      float sumIm = 0.5f * (x[2 * k + 1] - x[2 * (half - k) + 1]);
      float lessRe = x[2 * k] - x[2 * (half - k)];
      float lessIm = x[2 * k + 1] + x[2 * (half - k) + 1];
      float oddRe = s[k] * lessRe + c[k] * lessIm;
      float oddIm = c[k] * lessRe - s[k] * lessIm;
      re[k] = sumRe - oddRe;
      im[k] = sumIm + oddIm;
      re[half - k] = sumRe + oddRe;
      im[half - k] = oddIm - sumIm;
    }
    fft.inverse(re, im);
    int length = fft.rowLength();
    for (int row = 0; row < fft.rowCount(); row++) {
      join(fft.re(), fft.im(), fft.row(row), length, x, 2 * row * length, 1f / half);
    }
  }

  private static void join(
      float[] re, float[] im, int from, int count, float[] to, int at, float scale) {
    for (int i = 0; i < count; i++) {
      to[at + 2 * i] = re[from + i] * scale;
      to[at + 2 * i + 1] = im[from + i] * scale;
    }
  }

  /**
   * The transforms of two real signals by one complex one of their size, whose real and imaginary
   * parts they are (W. H. Press and others, "Numerical Recipes", chapter "FFT of two real functions
   * simultaneously"). Not for use by several threads at once.
   */
  static final class TwoSignals {
    private final int size;
    private final SplitFft fft;
    private final float[] workA;
    private final float[] workB;

    /**
     * A transform of a size.
     *
     * @param size number of samples: what {@link SplitFft} takes
     */
    TwoSignals(int size) {
      this.size = size;
      fft = new SplitFft(size);
      workA = new float[size];
      workB = new float[size];
    }

    /** As {@link Fft#crossSpectrum}. */
    void crossSpectrum(float[] a, float[] b) {
      System.arraycopy(a, 0, workA, 0, size);
      System.arraycopy(b, 0, workB, 0, size);
      fft.forward(workA, workB);
      float[] re = fft.re();
      float[] im = fft.im();
      int length = fft.rowLength();
      int last = fft.rowCount() - 1;
      int middle = fft.row((last + 1) / 2);
      b[0] = im[0];
      b[1] = im[middle];
      a[0] = re[0] * im[0];
      a[1] = re[middle] * im[middle];
      for (int row = 0; row <= last / 2; row++) {
        int up = fft.row(row);
        if (row > 0) {
          separate(re, im, up, fft.row(last + 1 - row), row * length, 1, a, b);
        }
        // Bin size - k lies in the row that is as far from the last, as far from its end.
        int down = fft.row(last - row) + length - 1;
        separate(re, im, up + 1, down, row * length + 1, length - 1, a, b);
      }
    }

    /**
     * Bins k on of both signals, from those up from {@code up} and down from {@code down}: one
     * signal's are alike on both sides, the other's turned by a quarter.
     */
    private static void separate(
        float[] re, float[] im, int up, int down, int k, int count, float[] product, float[] b) {
      for (int i = 0; i < count; i++) {
        float aRe = 0.5f * (re[up + i] + re[down - i]);
        float aIm = 0.5f * (im[up + i] - im[down - i]);
        float bRe = 0.5f * (im[up + i] + im[down - i]);
        float bIm = 0.5f * (re[down - i] - re[up + i]);
        int at = 2 * (k + i);
        b[at] = bRe;
        b[at + 1] = bIm;
        product[at] = aRe * bRe + aIm * bIm;
        product[at + 1] = aRe * bIm - aIm * bRe;
      }
    }
  }
}
