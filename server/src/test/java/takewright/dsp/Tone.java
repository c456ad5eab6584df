package takewright.dsp;

/**
 * A sine fitted to samples by least squares, in double: its level and phase, and what is left once
 * it is taken away. What is left holds every alias, image and rounding at once, which makes it a
 * stricter measure than the highest line of a spectrum.
 */
record Tone(double amplitude, double phase, double restRms) {
  /** A sine of the given frequency in cycles a sample; phase 0 at index 0, a sine. */
  static float[] sine(double frequency, double amplitude, int length) {
    float[] samples = new float[length];
    for (int i = 0; i < length; i++) {
      samples[i] = (float) (amplitude * Math.sin(2 * Math.PI * frequency * i));
    }
    return samples;
  }

  /** Fits a sine of known frequency in cycles a sample to the samples from, inclusive, to. */
  static Tone fit(float[] samples, int from, int to, double frequency) {
    double w = 2 * Math.PI * frequency;
    double ss = 0;
    double cc = 0;
    double sc = 0;
    double xs = 0;
    double xc = 0;
    for (int i = from; i < to; i++) {
      double s = Math.sin(w * i);
      double c = Math.cos(w * i);
      ss += s * s;
      cc += c * c;
      sc += s * c;
      xs += samples[i] * s;
      xc += samples[i] * c;
    }
    double determinant = ss * cc - sc * sc;
    double a = (xs * cc - xc * sc) / determinant;
    double b = (xc * ss - xs * sc) / determinant;
    double rest = 0;
    for (int i = from; i < to; i++) {
      double d = samples[i] - a * Math.sin(w * i) - b * Math.cos(w * i);
      rest += d * d;
    }
    return new Tone(Math.hypot(a, b), Math.atan2(b, a), Math.sqrt(rest / (to - from)));
  }

  static double rms(float[] samples, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += (double) samples[i] * samples[i];
    }
    return Math.sqrt(sum / (to - from));
  }

  static double db(double ratio) {
    return 20 * Math.log10(ratio);
  }
}
