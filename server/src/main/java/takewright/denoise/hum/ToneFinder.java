package takewright.denoise.hum;

import java.util.Arrays;
import java.util.stream.IntStream;
import takewright.dsp.Medians;

/**
 * Finds the tones of machines in frames of room tone.
 *
 * <p>A tone is a peak in the spectrum whose phase a third of a second later is as its frequency
 * predicts. That of noise is not, nor that of a rumble which happens to peak there. Motors turn too
 * unevenly to be taken for hum, which keeps its phase for seconds; but for as long as a short note
 * lasts, they too can be predicted.
 */
public final class ToneFinder {
  /** Power of a peak over the power of the bins around it. */
  private static final double PEAK = 6;

  /** The bins around: nearer ones belong to the peak. */
  private static final int NEAR = 4;

  private static final int FAR = 16;

  /** Half frames from a frame to the one its phase is predicted for: a third of a second. */
  private static final int LAG = 4;

  /** Share of the power that comes as predicted. */
  private static final double MIN_SHARE = 0.5;

  /**
   * Pairs of frames, times that share squared: noise reaches this at one of a thousand peaks, if
   * half of the pairs are independent.
   */
  private static final double MIN_EVIDENCE = 14;

  /** Power that is left after {@link #LAG}: less is the tail of a note that rings for 20 s. */
  private static final double MIN_LEFT = 0.8;

  /** The strongest count. */
  private static final int MAX_TONES = 24;

  private final double binHz;
  private final long[] position;
  private final float[][][] low;

  /**
   * @param size samples per frame; frames stand half a frame apart
   * @param position where each frame stands, in half frames, ascending; neighbours differ by 1
   * @param low the lowest bins of each frame by channel, packed
   */
  public ToneFinder(int sampleRate, int size, long[] position, float[][][] low) {
    this.position = position;
    this.low = low;
    binHz = (double) sampleRate / size;
  }

  /** Mean frequencies of the tones, the strongest first, in hertz. */
  public double[] find() {
    if (low.length <= LAG) {
      return new double[0];
    }
    double[] power = medianPowers();
    return IntStream.range(NEAR, power.length - NEAR)
        .filter(k -> isPeak(power, k))
        .boxed()
        .sorted((a, b) -> Double.compare(power[b], power[a]))
        .mapToDouble(this::binOfTone)
        .filter(bin -> bin > 0)
        .limit(MAX_TONES)
        .map(bin -> bin * binHz)
        .toArray();
  }

  /** The median of each bin's power, all channels together: a note's tail does not move it. */
  private double[] medianPowers() {
    double[] medians = new double[low[0][0].length / 2];
    double[] powers = new double[low.length];
    for (int k = 0; k < medians.length; k++) {
      Arrays.fill(powers, 0);
      for (int f = 0; f < powers.length; f++) {
        for (float[] spectrum : low[f]) {
          powers[f] += power(spectrum, k);
        }
      }
      medians[k] = Medians.of(powers);
    }
    return medians;
  }

  private static double power(float[] packed, int k) {
    return (double) packed[2 * k] * packed[2 * k] + (double) packed[2 * k + 1] * packed[2 * k + 1];
  }

  private static boolean isPeak(double[] power, int k) {
    if (power[k] <= Math.max(power[k - 1], power[k - 2])
        || power[k] <= Math.max(power[k + 1], power[k + 2])) {
      return false;
    }
    double[] around = new double[2 * (FAR - NEAR + 1)];
    int n = 0;
    for (int d = NEAR; d <= FAR; d++) {
      if (k - d >= 1) {
        around[n++] = power[k - d];
      }
      if (k + d < power.length) {
        around[n++] = power[k + d];
      }
    }
    return power[k] > PEAK * Medians.of(around, n);
  }

  /** Where between the bins the tone of a peak lies; 0 if its phase cannot be predicted. */
  private double binOfTone(int k) {
    Correlation later = correlation(k, LAG);
    double share = later.share();
    if (share < MIN_SHARE || later.pairs * share * share < MIN_EVIDENCE || later.left < MIN_LEFT) {
      return 0;
    }
    // From a frame to the next but one the phase goes on by a turn for each bin.
    double coarse = correlation(k, 1).turns() - k * 0.5;
    double off = 2 * (coarse - Math.rint(coarse));
    double fine = correlation(k, 2).turns() - off;
    double bin = k + off + fine - Math.rint(fine);
    return Math.abs(bin - k) > 1 ? 0 : bin;
  }

  /**
   * How a bin's frames follow those some half frames before.
   *
   * @param re real part of the sum of products
   * @param im its imaginary part
   * @param most what the size of that sum would be if all were as predicted
   * @param pairs of frames
   * @param left the later frames' power over that of the earlier; 0 for silence
   */
  private record Correlation(double re, double im, double most, int pairs, double left) {
    /** How far they are as predicted, 0 to 1. */
    double share() {
      return Math.hypot(re, im) / Math.max(most, Double.MIN_NORMAL);
    }

    /** The turn from the earlier to the later frames, in whole turns. */
    double turns() {
      return Math.atan2(im, re) / (2 * Math.PI);
    }
  }

  private Correlation correlation(int k, int lag) {
    double re = 0;
    double im = 0;
    double before = 0;
    double after = 0;
    int pairs = 0;
    for (int f = 0; f + lag < low.length; f++) {
      if (position[f + lag] != position[f] + lag) {
        continue;
      }
      pairs++;
      for (int c = 0; c < low[f].length; c++) {
        float[] a = low[f][c];
        float[] b = low[f + lag][c];
        re += (double) b[2 * k] * a[2 * k] + (double) b[2 * k + 1] * a[2 * k + 1];
        im += (double) b[2 * k + 1] * a[2 * k] - (double) b[2 * k] * a[2 * k + 1];
        before += power(a, k);
        after += power(b, k);
      }
    }
    double left = before > 0 ? after / before : 0;
    return new Correlation(re, im, Math.sqrt(before * after), pairs, left);
  }
}
