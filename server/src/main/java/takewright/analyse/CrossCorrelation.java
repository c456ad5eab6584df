package takewright.analyse;

import java.util.Arrays;
import takewright.audio.Clip;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;

/**
 * The similarity of two samples, independent of start and level. Two performances of one note stay
 * well below 1: vibrato, bow and breath never fall alike twice.
 *
 * @param correlation normalised correlation at the shift where it is greatest, 0 to 1; the same
 *     recording turned over has 1 too
 * @param shiftFrames how much later the second begins, in frames
 * @param gainDb how much louder the second is, in dB; NaN if either is silent
 */
public record CrossCorrelation(double correlation, long shiftFrames, double gainDb) {
  /** Stretch of the first that is looked for in the second, in frames. */
  private static final int STRETCH = 8192;

  private static final CrossCorrelation NONE = new CrossCorrelation(0, 0, Double.NaN);

  /** From this value on they are copies: 16-bit dither leaves more, another take far less. */
  public static final double COPY = 0.999;

  /** Whether both are the same recording. */
  public boolean copy() {
    return correlation >= COPY;
  }

  /** Compares the means of the channels; samples of different rates have nothing in common. */
  public static CrossCorrelation of(Clip first, Clip second) {
    if (first.sampleRate() != second.sampleRate()) {
      return NONE;
    }
    float[] a = first.mono();
    float[] b = second.mono();
    if (a.length < 2 || b.length < 2) {
      return NONE;
    }
    int length = Math.min(STRETCH, Math.min(a.length, b.length));
    int at = loudest(a, length, a.length / 4, a.length - a.length / 4);
    int found = find(a, at, length, b);
    int shift = found - at;
    int from = Math.max(0, -shift);
    int to = Math.min(a.length, b.length - shift);
    // What is compared must be most of the shorter: two notes may share a moment.
    if (to - from < Math.min(a.length, b.length) / 2) {
      return NONE;
    }
    double aa = 0;
    double bb = 0;
    double ab = 0;
    for (int i = from; i < to; i++) {
      aa += (double) a[i] * a[i];
      bb += (double) b[i + shift] * b[i + shift];
      ab += (double) a[i] * b[i + shift];
    }
    return aa == 0 || bb == 0
        ? NONE
        : new CrossCorrelation(
            Math.abs(ab) / Math.sqrt(aa * bb), shift, Decibels.fromPower(bb / aa));
  }

  /** Start of the loudest stretch from {@code from} to {@code to}: the ends may be cut off. */
  private static int loudest(float[] x, int length, int from, int to) {
    int first = Math.max(0, Math.min(from, x.length - length));
    int end = Math.min(x.length, Math.max(to, first + length));
    double sum = 0;
    double max = -1;
    int best = first;
    for (int i = first; i < end; i++) {
      sum += (double) x[i] * x[i];
      if (i >= first + length) {
        sum -= (double) x[i - length] * x[i - length];
      }
      if (i >= first + length - 1 && sum > max) {
        max = sum;
        best = i - length + 1;
      }
    }
    return best;
  }

  /** Where in {@code b} the stretch of {@code a} fits best, by overlap-save in blocks. */
  private static int find(float[] a, int at, int length, float[] b) {
    int size = Integer.highestOneBit(4 * length - 1) * 2;
    Fft fft = Fft.of(size);
    float[] stretch = Arrays.copyOf(Arrays.copyOfRange(a, at, at + length), size);
    fft.forward(stretch);
    int step = size - length + 1;
    float[] block = new float[size];
    double[] energy = new double[b.length + 1];
    for (int i = 0; i < b.length; i++) {
      energy[i + 1] = energy[i] + (double) b[i] * b[i];
    }
    double min = 1e-6 * energy[b.length];
    double max = -1;
    int best = 0;
    for (int from = 0; from + length <= b.length; from += step) {
      int n = Math.min(size, b.length - from);
      System.arraycopy(b, from, block, 0, n);
      Arrays.fill(block, n, size, 0);
      fft.forward(block);
      conjugateProduct(stretch, block);
      fft.inverse(block);
      for (int k = 0; k < step && from + k + length <= b.length; k++) {
        double power = energy[from + k + length] - energy[from + k];
        double fit = power > min ? block[k] * (double) block[k] / power : 0;
        if (fit > max) {
          max = fit;
          best = from + k;
        }
      }
    }
    return best;
  }

  /** b := conj(a) b, in the packing of {@link Fft}. */
  private static void conjugateProduct(float[] a, float[] b) {
    b[0] *= a[0];
    b[1] *= a[1];
    for (int i = 2; i < a.length; i += 2) {
      float re = a[i] * b[i] + a[i + 1] * b[i + 1];
      b[i + 1] = a[i] * b[i + 1] - a[i + 1] * b[i];
      b[i] = re;
    }
  }
}
