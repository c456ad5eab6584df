package takewright.loop;

import java.util.Arrays;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/** The brightness of stretches of sound, of which most have one length. */
final class Centroid {
  private final int sampleRate;
  private float[] window = new float[0];
  private float[] part = new float[0];
  private Fft fft;

  Centroid(int sampleRate) {
    this.sampleRate = sampleRate;
  }

  /** Mean frequency of the spectrum by amplitude, in hertz, through a Hann window. */
  double hz(float[] audio, int from, int count) {
    if (window.length != count) {
      window = Windows.hann(count);
      part = new float[Integer.highestOneBit(Math.max(2, count - 1)) * 2];
      fft = Fft.of(part.length);
    }
    for (int i = 0; i < count; i++) {
      part[i] = audio[from + i] * window[i];
    }
    Arrays.fill(part, count, part.length, 0);
    fft.forward(part);
    double sum = 0;
    double moment = 0;
    for (int k = 1; k < part.length / 2; k++) {
      double re = part[2 * k];
      double im = part[2 * k + 1];
      double amplitude = Math.sqrt(re * re + im * im);
      sum += amplitude;
      moment += amplitude * k;
    }
    return sum > 0 ? moment / sum * sampleRate / part.length : 0;
  }
}
