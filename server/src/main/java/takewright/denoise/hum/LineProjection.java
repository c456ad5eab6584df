package takewright.denoise.hum;

/**
 * The sinusoid of a given frequency in a frame, read from the frame's spectrum under a Hann window.
 *
 * <p>The windowed frame is projected on a windowed sinusoid. The Hann window's transform falls so
 * fast that some bins around the line hold all of it, and with the phase referred to the middle of
 * the frame its weights are real.
 */
final class LineProjection {
  /** Bins on either side: what lies beyond is 60 dB below the line. */
  static final int REACH = 4;

  private final int first;
  private final float[] weights = new float[2 * REACH];

  /** What a weight has to be multiplied by to give the line's own spectrum. */
  private final float toSpectrum;

  /** The result of {@link #of}. */
  double re;

  /** The result of {@link #of}. */
  double im;

  /**
   * @param size samples per frame
   * @param bin frequency of the line in bins; at least {@link #REACH}
   */
  LineProjection(int size, double bin) {
    first = (int) Math.floor(bin) - REACH + 1;
    toSpectrum = 3f * size * size / 32;
    for (int i = 0; i < weights.length; i++) {
      int k = first + i;
      double sign = (k & 1) == 0 ? 1 : -1;
      weights[i] = (float) (sign * 8 / (3.0 * size) * hann(k - bin));
    }
  }

  /** The Hann window's transform, 1 at 0, this many bins away. */
  private static double hann(double d) {
    if (Math.abs(d) < 1e-9) {
      return 1;
    }
    if (Math.abs(Math.abs(d) - 1) < 1e-9) {
      return 0.5;
    }
    return Math.sin(Math.PI * d) / (Math.PI * d) / (1 - d * d);
  }

  /** Lowest bin that is read. */
  int first() {
    return Math.max(0, first);
  }

  /** Amplitude and phase of the line in the middle of the frame, from its packed spectrum. */
  void of(float[] packed) {
    re = 0;
    im = 0;
    for (int i = Math.max(0, 1 - first); i < weights.length; i++) {
      int k = first + i;
      re += weights[i] * packed[2 * k];
      im += weights[i] * packed[2 * k + 1];
    }
  }

  /** End of the bins that hold the line, exclusive. */
  int end() {
    return first + weights.length;
  }

  /** Power that a line of amplitude 1 has in one of these bins. */
  double share(int bin) {
    double w = toSpectrum * weights[bin - first];
    return w * w;
  }

  /** Takes a line of this amplitude and phase out of a packed spectrum. */
  void subtract(float[] packed, double lineRe, double lineIm) {
    float x = (float) (toSpectrum * lineRe);
    float y = (float) (toSpectrum * lineIm);
    for (int i = Math.max(0, 1 - first); i < weights.length; i++) {
      int k = first + i;
      packed[2 * k] -= weights[i] * x;
      packed[2 * k + 1] -= weights[i] * y;
    }
  }

  /**
   * The mean square of what noise alone gives, from the noise power of a bin under the Hann window:
   * the windowed frame sees the window squared, whose mean fourth power is 35/128.
   */
  static double ofNoise(double binPower, int size) {
    double scale = 16.0 / (3 * size);
    return binPower * scale * scale * (35.0 / 128) / (3.0 / 8);
  }
}
