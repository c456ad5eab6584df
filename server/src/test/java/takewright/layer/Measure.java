package takewright.layer;

import takewright.audio.Clip;

/** What a layer does, measured on what comes out. */
final class Measure {
  static final int RATE = 48_000;

  private Measure() {}

  /** An impulse small enough to stay below the ceiling, in this many channels. */
  static Clip impulse(int channels, int frames, float level) {
    float[][] x = new float[channels][frames];
    for (float[] channel : x) {
      channel[0] = level;
    }
    return Clip.of(RATE, x);
  }

  /** The gain at a frequency in dB, by the Fourier sum of an impulse response. */
  static double gainDb(float[] response, double level, double hz) {
    double re = 0;
    double im = 0;
    for (int i = 0; i < response.length; i++) {
      re += response[i] * Math.cos(2 * Math.PI * hz * i / RATE);
      im += response[i] * Math.sin(2 * Math.PI * hz * i / RATE);
    }
    return 20 * Math.log10(Math.hypot(re, im) / level);
  }

  /**
   * Reverberation time in seconds by Schroeder's backward integration (J. Acoust. Soc. Am. 37,
   * 1965), the line fitted from -5 to -35 dB as in ISO 3382-1 (T30).
   */
  static double t30(float[] response, int rate) {
    double[] left = new double[response.length + 1];
    for (int i = response.length - 1; i >= 0; i--) {
      left[i] = left[i + 1] + (double) response[i] * response[i];
    }
    double n = 0;
    double st = 0;
    double sd = 0;
    double stt = 0;
    double std = 0;
    for (int i = 0; i < response.length; i++) {
      double db = 10 * Math.log10(left[i] / left[0]);
      if (db <= -5 && db >= -35) {
        double t = (double) i / rate;
        n++;
        st += t;
        sd += db;
        stt += t * t;
        std += t * db;
      }
    }
    return -60 / ((n * std - st * sd) / (n * stt - st * st));
  }

  static double energy(float[] x) {
    double sum = 0;
    for (float v : x) {
      sum += (double) v * v;
    }
    return sum;
  }

  static float peak(Clip clip) {
    float peak = 0;
    for (int c = 0; c < clip.channels(); c++) {
      for (float v : clip.channel(c)) {
        peak = Math.max(peak, Math.abs(v));
      }
    }
    return peak;
  }
}
