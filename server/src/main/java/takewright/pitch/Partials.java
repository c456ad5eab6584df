package takewright.pitch;

import java.util.Arrays;
import takewright.dsp.Fft;
import takewright.dsp.Windows;

/**
 * The partials of a sound: the peaks of its mean spectrum, lowest first.
 *
 * @param hz frequencies in hertz, between the bins by a parabola through three logarithms
 * @param strength amplitudes after the whitening of Klapuri ("Multiple fundamental frequency
 *     estimation by summing harmonic amplitudes", ISMIR 2006): what is strong against its third of
 *     an octave counts, so that a soft low note beside a bright high one is not lost
 * @param binHz distance of the bins in hertz: partials nearer than two of them are not told apart
 */
public record Partials(double[] hz, double[] strength, double binHz) {
  /** Length of a window in seconds, at least: a semitone at 50 Hz is 3 Hz wide. */
  private static final double WINDOW_S = 0.34;

  /** Spectra that are averaged: more do not change the peaks. */
  private static final int SPECTRA = 8;

  /** Peaks this far below the strongest (60 dB of power) are not heard beside it. */
  private static final double MIN_POWER = 1e-6;

  /** A peak stands this far (8 dB) above the geometric mean of the bins around it. */
  private static final double MIN_RISE = Math.log(6.3);

  /** Bins on either side that a peak is held against. */
  private static final int AROUND = 24;

  /** Exponent that whitens; the paper's 0.33. */
  private static final double WHITENING = 0.33;

  /** Pitches up to 8 kHz need partials to about twice that. */
  private static final double HIGHEST_HZ = 17_000;

  private static final int MAX_PARTIALS = 160;

  /** The partials of the frames from {@code from} to {@code to}. */
  public static Partials of(float[] mono, int sampleRate, int from, int to) {
    int size = Integer.highestOneBit((int) (WINDOW_S * sampleRate) - 1) * 2;
    float[] window = Windows.hann(Math.min(size, Math.max(2, to - from)));
    Fft fft = Fft.of(size);
    float[] work = new float[size];
    float[] power = new float[fft.bins()];
    double[] sum = new double[fft.bins()];
    int room = Math.max(0, to - from - window.length);
    int n = (int) Math.min(SPECTRA, 1 + 2L * room / window.length);
    for (int s = 0; s < n; s++) {
      int at = from + (n == 1 ? room / 2 : (int) ((long) room * s / (n - 1)));
      for (int i = 0; i < window.length; i++) {
        work[i] = at + i < mono.length ? mono[at + i] * window[i] : 0;
      }
      Arrays.fill(work, window.length, size, 0);
      fft.forward(work);
      fft.power(work, power);
      for (int k = 0; k < power.length; k++) {
        sum[k] += power[k];
      }
    }
    return peaks(sum, (double) sampleRate / size);
  }

  private static Partials peaks(double[] power, double binHz) {
    int bins = (int) Math.min(power.length - 2, HIGHEST_HZ / binHz);
    double[] cumulated = new double[power.length + 1];
    double[] logs = new double[power.length + 1];
    double max = 0;
    for (int k = 0; k < power.length; k++) {
      cumulated[k + 1] = cumulated[k] + power[k];
      logs[k + 1] = logs[k] + Math.log(power[k] + 1e-30);
      max = Math.max(max, k <= bins ? power[k] : 0);
    }
    double[] hz = new double[MAX_PARTIALS];
    double[] strength = new double[MAX_PARTIALS];
    int count = 0;
    for (int k = 3; k < bins && count < MAX_PARTIALS && max > 0; k++) {
      double here = power[k];
      if (here < max * MIN_POWER || here <= power[k - 1] || here < power[k + 1]) {
        continue;
      }
      int low = Math.max(1, k - AROUND);
      int high = Math.min(power.length, k + AROUND + 1);
      if (Math.log(here) - (logs[high] - logs[low]) / (high - low) < MIN_RISE) {
        continue;
      }
      double a = Math.log(power[k - 1] + 1e-30);
      double b = Math.log(here);
      double c = Math.log(power[k + 1] + 1e-30);
      double shift = 0.5 * (a - c) / (a - 2 * b + c);
      hz[count] = (k + shift) * binHz;
      int from = (int) (k / 1.26);
      int to = Math.min(power.length, (int) (k * 1.26) + 2);
      double around = Math.sqrt((cumulated[to] - cumulated[from]) / (to - from));
      strength[count++] = Math.sqrt(here) * Math.pow(around, WHITENING - 1);
    }
    return new Partials(Arrays.copyOf(hz, count), Arrays.copyOf(strength, count), binHz);
  }

  /** The partial nearest to a frequency, within {@code reachHz} of it; -1 for none. */
  int near(double frequency, double reachHz) {
    int at = Arrays.binarySearch(hz, frequency);
    if (at >= 0) {
      return at;
    }
    int above = -at - 1;
    int best = -1;
    double nearest = reachHz;
    for (int k = Math.max(0, above - 1); k <= Math.min(hz.length - 1, above); k++) {
      double distance = Math.abs(hz[k] - frequency);
      if (distance <= nearest) {
        nearest = distance;
        best = k;
      }
    }
    return best;
  }
}
