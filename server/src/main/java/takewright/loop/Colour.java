package takewright.loop;

import takewright.dsp.Fft;

/** The brightness of a stretch of sound. */
final class Colour {
  private Colour() {}

  /** Mean frequency of the spectrum by amplitude, in hertz, through a Hann window. */
  static double centroid(float[] audio, int from, int count, int sampleRate) {
    int size = Integer.highestOneBit(Math.max(2, count - 1)) * 2;
    float[] part = new float[size];
    for (int i = 0; i < count; i++) {
      part[i] = (float) (audio[from + i] * (0.5 - 0.5 * Math.cos(2 * Math.PI * i / count)));
    }
    Fft.of(size).forward(part);
    double sum = 0;
    double moment = 0;
    for (int k = 1; k < size / 2; k++) {
      double re = part[2 * k];
      double im = part[2 * k + 1];
      double amplitude = Math.sqrt(re * re + im * im);
      sum += amplitude;
      moment += amplitude * k;
    }
    return sum > 0 ? moment / sum * sampleRate / size : 0;
  }
}
