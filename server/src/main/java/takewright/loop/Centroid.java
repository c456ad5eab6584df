package takewright.loop;

import java.util.Arrays;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/** The brightness of stretches of sound, of which most have one length. */
final class Centroid {
  private final int sampleRate;
  private float[] window = new float[0];
  private float[] part = new float[0];
  private float[] amplitude = new float[0];
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
      amplitude = new float[fft.bins()];
    }
    // Copied first: HotSpot makes vector code of arrays that are read from the same index on.
    System.arraycopy(audio, from, part, 0, count);
    for (int i = 0; i < count; i++) {
      part[i] *= window[i];
    }
    Arrays.fill(part, count, part.length, 0);
    fft.powerOf(part, amplitude);
    roots(amplitude, amplitude);
    return ofAmplitudes(amplitude, part.length / 2) * sampleRate / part.length;
  }

  /** The amplitudes of powers; the same array may take them. */
  static void roots(float[] power, float[] amplitude) {
    // HotSpot makes vector code of this loop, but not of one that sums up as well.
    for (int k = 0; k < power.length; k++) {
      amplitude[k] = (float) Math.sqrt(power[k]);
    }
  }

  /** The mean of the bins from 1 up to {@code end}, by amplitude; 0 for silence. */
  static double ofAmplitudes(float[] amplitude, int end) {
    double sum = 0;
    double moment = 0;
    // The number of the bin is kept as a double beside: a conversion waits (HotSpot 17).
    double number = 1;
    int k = 1;
    for (; k + 3 < end; k += 4) {
      // Few sums in double, which wait for one another: the moment counts from each four's first.
      float low = amplitude[k] + amplitude[k + 1];
      float high = amplitude[k + 2] + amplitude[k + 3];
      float within = amplitude[k + 1] + 2 * high + amplitude[k + 3];
      double four = low + high;
      sum += four;
      moment += number * four + within;
      number += 4;
    }
    for (; k < end; k++) {
      sum += amplitude[k];
      moment += (double) k * amplitude[k];
    }
    return sum > 0 ? moment / sum : 0;
  }
}
