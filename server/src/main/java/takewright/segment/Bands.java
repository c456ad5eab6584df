package takewright.segment;

import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * Power of a signal in bands of about a third of an octave (no narrower than 94 Hz), one column a
 * hop. A weak note shows in the band of its strongest partial long before it shows in the whole.
 */
final class Bands {
  /** Lowest edge, in hertz: below lies rumble, and hardly a note. */
  private static final double LOWEST_HZ = 35;

  /** Highest edge, in hertz: above lies hardly anything but hiss. */
  private static final double HIGHEST_HZ = 16_000;

  /** A band is this much wide, upper edge to lower: a third of an octave. */
  private static final double WIDTH = Math.pow(2, 1.0 / 3);

  /** Bins a band has at least: with fewer its noise jumps about so much that it hides notes. */
  private static final int LEAST_BINS = 4;

  private final int window;
  private final Fft fft;
  private final float[] shape;
  private final float[] work;
  private final float[] power;
  private final int[] edges;
  private final double scale;
  private final double bin;

  Bands(int sampleRate) {
    // 43 ms at 44.1 and 48 kHz, and about as long at other rates.
    int nearest = Integer.highestOneBit((int) (sampleRate * 0.06));
    window = Math.max(256, nearest);
    fft = Fft.of(window);
    shape = Windows.hann(window);
    work = new float[window];
    power = new float[window / 2 + 1];
    bin = (double) sampleRate / window;
    edges = edges(sampleRate);
    // A sine of amplitude 1 then has power 1/2 over its main lobe, as its mean square is.
    double energy = 0;
    for (float w : shape) {
      energy += (double) w * w;
    }
    scale = 2 / (energy * window);
  }

  private int[] edges(int sampleRate) {
    int[] list = new int[64];
    int n = 0;
    int at = Math.max(1, (int) Math.round(LOWEST_HZ / bin));
    // The top twentieth below half the rate belongs to the converter's filter.
    int last = (int) (Math.min(HIGHEST_HZ, 0.475 * sampleRate) / bin);
    while (at < last) {
      list[n++] = at;
      at = Math.max(at + LEAST_BINS, (int) Math.round(at * WIDTH));
    }
    list[n++] = last;
    return java.util.Arrays.copyOf(list, n);
  }

  /** Frames of a window. */
  int window() {
    return window;
  }

  /** Frames from one column to the next. */
  int hop() {
    return window / 2;
  }

  /** Number of bands. */
  int count() {
    return edges.length - 1;
  }

  /** Lower edge of a band, in hertz. */
  double lowest(int band) {
    return edges[band] * bin;
  }

  /** Bins of a band. */
  int bins(int band) {
    return edges[band + 1] - edges[band];
  }

  /**
   * Mean power of each band's bins, as mean square for full scale 1.
   *
   * @param audio {@link #window} samples from index 0
   */
  void measure(float[] audio, float[] into) {
    for (int i = 0; i < window; i++) {
      work[i] = audio[i] * shape[i];
    }
    fft.forward(work);
    fft.power(work, power);
    for (int b = 0; b < into.length; b++) {
      double sum = 0;
      for (int k = edges[b]; k < edges[b + 1]; k++) {
        sum += power[k];
      }
      into[b] = (float) (sum * scale / (edges[b + 1] - edges[b]));
    }
  }
}
