package takewright.pitch;

import takewright.dsp.Fft;
import takewright.dsp.Fir;
import takewright.dsp.Sum;
import takewright.dsp.SumOfSquares;

/**
 * Candidates for the period of one window of audio, by the cumulative mean normalised difference
 * function of YIN (de Cheveigné and Kawahara, "YIN, a fundamental frequency estimator for speech
 * and music", JASA 111(4), 2002), computed through the FFT.
 *
 * <p>It gives every dip of the function rather than one answer, weighed over a range of thresholds
 * as in probabilistic YIN (Mauch and Dixon, ICASSP 2014), so that a whole note can decide its
 * octave. TarsosDSP's detectors give one answer a window; its YIN lacks the paper's last step and
 * its MPM slips octaves below 80 Hz, which is why they do not serve here.
 *
 * <p>One detector serves one thread at a time; its arrays are used again for each window.
 */
public final class PitchDetector {
  /** Lowest pitch looked for, in hertz: a little below A0, the lowest note of a piano (27.5 Hz). */
  public static final double LOWEST_HZ = 25;

  /**
   * Highest pitch looked for, in hertz: a little above C8, the highest note of a piano (4186 Hz).
   */
  public static final double HIGHEST_HZ = 4500;

  /** Of the longest period at least so much is averaged over. */
  private static final double MIN_PERIODS = 1.1;

  /** Dips above this are no periods: half of the energy does not repeat. */
  private static final float LARGEST_DIP = 0.5f;

  /** At most this many dips are kept; the 37 ms of lags hold few more of a note's multiples. */
  private static final int MAX_CANDIDATES = 32;

  /**
   * What differences between dips are set against where the deepest is 0. At 0.15 a dip 0.015 above
   * it is at YIN's usual threshold; steady notes of the recordings dip by less from period to
   * period.
   */
  private static final double FINEST = 0.15;

  /**
   * First null of the smoothing, in hertz. Partials above would make dips so narrow that whole lags
   * miss their bottom, and the noise up there says nothing of the pitch.
   */
  private static final double SMOOTHING_HZ = 12_000;

  private final int sampleRate;
  private final int shortestLag;
  private final int longestLag;
  private final int integration;
  private final float[] whole;
  private final float[] head;
  private final float[] difference;

  /** The squared difference of the window and itself by lag, before it is normalised. */
  private final float[] apart;

  /** Its sum up to each lag, and the number of each lag. */
  private final float[] total;

  private final float[] number;

  /** Takes away what would make the dips narrow; null where nothing is. */
  private final Fir smoother;

  /** Silence, as long as the smoother reaches back, then the window. */
  private final float[] padded;

  private final float[][] smoothed;

  /** The partials of the window; null where it is too short to tell them apart. */
  private final WindowSpectrum spectrum;

  private int count;
  private final double[] lags = new double[MAX_CANDIDATES];
  private final double[] dips = new double[MAX_CANDIDATES];
  private double rms;

  /**
   * A detector for the usual pitches, {@link #LOWEST_HZ} to {@link #HIGHEST_HZ}.
   *
   * @param sampleRate frames a second
   */
  public PitchDetector(int sampleRate) {
    this(sampleRate, LOWEST_HZ, HIGHEST_HZ, true);
  }

  /**
   * A detector for pitches of a range; the window is two and a half of the longest period.
   *
   * @param sampleRate frames a second
   */
  public PitchDetector(int sampleRate, double lowestHz, double highestHz) {
    // Not smoothed: these windows are short, or dense, or reach to pitches that it would take away.
    this(sampleRate, lowestHz, highestHz, false);
  }

  private PitchDetector(int sampleRate, double lowestHz, double highestHz, boolean smooths) {
    this.sampleRate = sampleRate;
    shortestLag = Math.max(2, (int) (sampleRate / highestHz));
    longestLag = (int) Math.ceil(sampleRate / lowestHz) + 2;
    // One and a half of the longest period: enough to average over, short enough for a staccato.
    int wanted = longestLag * 3 / 2;
    int size = Integer.highestOneBit(wanted + longestLag - 1) * 2;
    // A little less, where that halves the transforms.
    if (size / 2 - longestLag >= MIN_PERIODS * longestLag) {
      size /= 2;
    }
    integration = Math.min(wanted, size - longestLag);
    whole = new float[size];
    head = new float[size];
    difference = new float[longestLag];
    apart = new float[longestLag];
    total = new float[longestLag];
    number = new float[longestLag];
    for (int lag = 0; lag < longestLag; lag++) {
      number[lag] = lag;
    }
    float[] taps = smooths ? triangle((int) Math.round(sampleRate / SMOOTHING_HZ)) : new float[0];
    smoother = taps.length == 0 ? null : new Fir(new float[][] {taps}, window());
    padded = new float[window() + Math.max(1, taps.length) - 1];
    smoothed = new float[1][window()];
    spectrum = smooths ? new WindowSpectrum(sampleRate, window(), size) : null;
  }

  /**
   * Two means over this many samples, one after the other: what is left above their null is 26 dB
   * down. In whole fours of taps, the first of them 0; none where there is nothing to smooth.
   */
  private static float[] triangle(int length) {
    if (length < 2) {
      return new float[0];
    }
    float[] taps = new float[(2 * length - 1 + 3) / 4 * 4];
    for (int k = 0; k < 2 * length - 1; k++) {
      taps[taps.length - 1 - k] = (float) Math.min(k + 1, 2 * length - 1 - k) / (length * length);
    }
    return taps;
  }

  /** Frames over which a window's repetition is summed; the rest is for the shift. */
  int integration() {
    return integration;
  }

  /** Frames of a window. */
  public int window() {
    return integration + longestLag;
  }

  /**
   * Looks at one window.
   *
   * @param audio samples, full scale at ±1
   * @param at index of the window's first sample; {@code audio} holds {@link #window} from there
   * @return the number of candidates, shortest lag first
   */
  public int find(float[] audio, int at) {
    // In steps, each a method of its own: with their loops in here, the JIT compiled all of it anew
    // for each of them, for half a second.
    int n = window();
    centre(audio, at, n);
    if (smoother == null) {
      System.arraycopy(padded, 0, whole, 0, n);
    } else {
      smoother.apply(padded, 0, smoothed, n);
      System.arraycopy(smoothed[0], 0, whole, 0, n);
    }
    java.util.Arrays.fill(whole, n, whole.length, 0);
    System.arraycopy(whole, 0, head, 0, integration);
    java.util.Arrays.fill(head, integration, head.length, 0);

    double energy = SumOfSquares.of(whole, 0, integration);
    rms = Math.sqrt(energy / integration);
    count = 0;
    if (energy <= 0) {
      if (spectrum != null) {
        spectrum.clear();
      }
      return 0;
    }
    if (spectrum != null && !spectrum.isFilled()) {
      spectrum.look(whole);
    }
    normalisedDifference(energy);
    collect();
    return count;
  }

  /** Puts a window without its mean behind the silence. */
  private void centre(float[] audio, int at, int n) {
    float centre = (float) (Sum.of(audio, at, at + n) / n);
    int lead = padded.length - n;
    // Two steps: HotSpot makes vector code of the second, and none of both in one.
    System.arraycopy(audio, at, padded, lead, n);
    for (int i = lead; i < padded.length; i++) {
      padded[i] -= centre;
    }
  }

  /** The partials of the window last looked at; null where it is too short to tell them apart. */
  WindowSpectrum spectrum() {
    return spectrum;
  }

  /** d'(τ) of the paper's equation 8 into {@link #difference}. */
  private void normalisedDifference(double energy) {
    // Taken before the transform writes over the samples.
    energies(energy);
    Fft fft = Fft.of(whole.length);
    fft.crossSpectrum(head, whole);
    if (spectrum != null && spectrum.isFilled()) {
      spectrum.lookAtTransform(whole);
    }
    fft.inverse(head);
    normalise();
  }

  /**
   * The energy of the window and of the window shifted by τ. The change from lag to lag is worked
   * out in floats: a conversion to double waits for what its register held before (HotSpot 17), and
   * with one of each sample a lag took 7.4 ns instead of 1.3.
   */
  private void energies(double energy) {
    double shifted = energy;
    difference[0] = 0;
    for (int lag = 1; lag < longestLag; lag++) {
      float out = whole[lag - 1];
      float in = whole[lag + integration - 1];
      shifted += (in - out) * (in + out);
      difference[lag] = (float) (energy + shifted);
    }
  }

  /** In three loops, so that HotSpot makes vector code of two of them. */
  private void normalise() {
    takeApart();
    double sum = 0;
    for (int lag = 1; lag < longestLag; lag++) {
      sum += apart[lag];
      total[lag] = (float) sum;
    }
    divide();
    // Where nothing has differed yet there is no dip.
    difference[0] = 1;
    for (int lag = 1; lag < longestLag && total[lag] == 0; lag++) {
      difference[lag] = 1;
    }
  }

  private void takeApart() {
    for (int lag = 1; lag < longestLag; lag++) {
      apart[lag] = Math.max(0, difference[lag] - 2 * head[lag]);
    }
  }

  private void divide() {
    for (int lag = 1; lag < longestLag; lag++) {
      difference[lag] = apart[lag] * number[lag] / total[lag];
    }
  }

  private void collect() {
    for (int lag = shortestLag; lag < longestLag - 1 && count < MAX_CANDIDATES; lag++) {
      float here = difference[lag];
      if (here >= LARGEST_DIP || here > difference[lag - 1] || here >= difference[lag + 1]) {
        continue;
      }
      double before = difference[lag - 1];
      double after = difference[lag + 1];
      double bend = before - 2 * here + after;
      double shift = bend > 0 ? 0.5 * (before - after) / bend : 0;
      lags[count] = lag + shift;
      dips[count] = Math.max(0, here - 0.25 * (before - after) * shift);
      count++;
    }
  }

  /** Frequency of a candidate in hertz. */
  public double frequency(int candidate) {
    return sampleRate / lags[candidate];
  }

  /** Aperiodicity of a candidate: 0 repeats exactly, 1 not at all. */
  public double aperiodicity(int candidate) {
    return dips[candidate];
  }

  /** RMS of the window last looked at, full scale 1. */
  public double rms() {
    return rms;
  }

  /**
   * Probability of each candidate of the window last looked at: how often it is the first dip below
   * a threshold, over thresholds distributed as Beta(2, 18), which has its mean at YIN's usual 0.1
   * (Mauch and Dixon's choice).
   *
   * <p>Other than there a dip counts by how far it lies above the deepest one, set against how deep
   * that is. A tone whose odd partials hold but a fiftieth of its power dips to 0.04 at half its
   * period, which a fixed threshold takes for a period; beside a dip of 0.001 it is none.
   *
   * @param into filled for each candidate; the sum is 1 where there is any
   */
  public void probabilities(double[] into) {
    double deepest = deepest();
    // P(threshold > x) = 1 - F(x); a dip is taken by all thresholds above it that no earlier dip
    // has
    // taken.
    double lowest = Double.MAX_VALUE;
    for (int i = 0; i < count; i++) {
      double above = (dips[i] - deepest) / (FINEST + 2 * deepest);
      if (above < lowest) {
        double upper = lowest == Double.MAX_VALUE ? 1 : betaCdf(lowest);
        into[i] = upper - betaCdf(above);
        lowest = above;
      } else {
        into[i] = 0;
      }
    }
  }

  /** Aperiodicity of the best candidate; 1 where there is none. */
  public double deepest() {
    double deepest = 1;
    for (int i = 0; i < count; i++) {
      deepest = Math.min(deepest, dips[i]);
    }
    return deepest;
  }

  /** Cumulative Beta(2, 18): 1 - (1 + 18 x)(1 - x)^18. */
  public static double betaCdf(double x) {
    double rest = 1 - Math.min(1, Math.max(0, x));
    return 1 - (1 + 18 * (1 - rest)) * Math.pow(rest, 18);
  }
}
