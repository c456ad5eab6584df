package takewright.loop;

import java.util.Arrays;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Medians;
import takewright.dsp.Sum;

/** What a note sounds like over time, by which moments in it are compared. */
final class NoteCourse {
  /** Points per second: half a cycle of the fastest vibrato has three. */
  private static final int RATE = 50;

  /** But at most this many points; longer notes are looked at more coarsely. */
  private static final int MAX_POINTS = 600;

  /** Bands of an octave from the note's frequency on. */
  private static final int BANDS = 6;

  /** Power this far below the loudest band is noise to the ear, 40 dB. */
  private static final double FLOOR = 1e-4;

  /** Length of the spectrum's window in seconds. */
  private static final double WINDOW_S = 0.04;

  /** A dip by this much below what is around is a bow change or a breath, in dB, */
  private static final double DIP_DB = 2.5;

  /** or by so many times the usual: a vibrato dips at each swing, and a bow rarely changes. */
  private static final double DIPS = 1.5;

  private static final double USUAL_DIP_QUANTILE = 0.8;

  /** Around: this many seconds on either side. */
  private static final double AROUND_S = 0.25;

  /** A change of the spectrum from point to point of this many times the median is one too. */
  private static final double SUDDEN = 5;

  /** The pitch swings by more than this, as a standard deviation in cents: a vibrato. */
  private static final double VIBRATO_CENTS = 2;

  /** A cycle of a slow vibrato and more, in seconds. */
  private static final double VIBRATO_S = 0.35;

  /** As long as a tuner listens at a time, in seconds. */
  private static final double MIDDLE_S = 0.1;

  /** What is greater by this factor is so whatever rounding does to both. */
  static final double SURELY = 1.001;

  /** One point in this many. */
  private static final int CHANGES_EVERYWHERE = 5;

  /** Frames from point to point. */
  final int hop;

  /** By point: level in dB, and the bands' levels in dB below it. */
  final double[] level;

  final double[][] bands;

  /** By point: the spectral centroid by amplitude, in hertz. */
  final double[] brightness;

  /** By point: whether the bow changes there, or something knocks. */
  final boolean[] change;

  /** The phase of its partials. */
  final PhaseTrack phase;

  /** Mean square number of its harmonics, by their power: what a slip of phase does to them. */
  final double meanSquareHarmonic;

  private final int vibratoWindow;
  private final int middleWindow;

  NoteCourse(float[] x, int sampleRate, double hz) {
    hop = Math.max(sampleRate / RATE, x.length / MAX_POINTS);
    int n = x.length / hop;
    level = new double[n];
    bands = new double[n][BANDS];
    change = new boolean[n];
    brightness = new double[n];
    double needed = Math.max(WINDOW_S, 3 / hz) * sampleRate;
    int size = Integer.highestOneBit(Math.max(2, (int) needed - 1)) * 2;
    spectra(x, Fft.of(size), (double) sampleRate / size, hz);
    phase = new PhaseTrack(x, sampleRate, hz);
    meanSquareHarmonic = meanSquareHarmonic();
    middleWindow = (int) (MIDDLE_S * sampleRate);
    vibratoWindow = (int) (VIBRATO_S * sampleRate);
    changes((double) sampleRate / hop);
  }

  private void spectra(float[] x, Fft fft, double binHz, double hz) {
    int size = fft.size();
    float[] window = new float[size];
    for (int i = 0; i < size; i++) {
      window[i] = (float) (0.5 - 0.5 * Math.cos(2 * Math.PI * (i + 0.5) / size));
    }
    // The bins of a band lie side by side: band b ends before bin ends[b].
    int[] ends = new int[BANDS];
    for (int k = 1; k < size / 2; k++) {
      double octave = Math.log(k * binHz / hz) / Math.log(2) + 0.5;
      ends[(int) Math.max(0, Math.min(BANDS - 1, octave))] = k + 1;
    }
    float[] part = new float[size];
    float[] bins = new float[fft.bins()];
    double[] power = new double[BANDS];
    for (int p = 0; p < level.length; p++) {
      int at = p * hop - size / 2;
      int first = Math.max(0, -at);
      int last = Math.max(first, Math.min(size, x.length - at));
      Arrays.fill(part, 0, first, 0);
      System.arraycopy(x, at + first, part, first, last - first);
      Arrays.fill(part, last, size, 0);
      // In a loop of its own, HotSpot makes vector code of this.
      for (int i = 0; i < size; i++) {
        part[i] *= window[i];
      }
      fft.powerOf(part, bins);
      double sum = 0;
      int from = 1;
      for (int b = 0; b < BANDS; b++) {
        power[b] = Sum.of(bins, from, ends[b]);
        from = Math.max(from, ends[b]);
        sum += power[b];
      }
      Centroid.roots(bins, bins);
      brightness[p] = Centroid.ofAmplitudes(bins, size / 2) * binHz;
      level[p] = Decibels.fromPower(sum / size / size + 1e-20);
      for (int b = 0; b < BANDS; b++) {
        bands[p][b] = Decibels.fromPower((power[b] + FLOOR * sum) / (sum + 1e-20) + 1e-20);
      }
    }
  }

  /** Sums up the bands, each as its middle: 1, 2, 4 ... times the fundamental. */
  private double meanSquareHarmonic() {
    double sum = 0;
    double moment = 0;
    for (int p = 0; p < level.length; p++) {
      double power = Decibels.toPower(level[p]);
      for (int b = 0; b < BANDS; b++) {
        double share = Decibels.toPower(bands[p][b]);
        share *= power;
        sum += share;
        moment += share * Math.pow(4, b);
      }
    }
    return sum > 0 ? moment / sum : 1;
  }

  /** Points that some frames take, at least. */
  int points(double frames) {
    return (int) Math.ceil(frames / hop);
  }

  /** Values by point, each the mean of those within some frames. */
  double[] smoothed(double[] values, double frames) {
    int half = Math.max(1, points(frames / 2));
    double[] sums = new double[values.length + 1];
    for (int p = 0; p < values.length; p++) {
      sums[p + 1] = sums[p] + values[p];
    }
    double[] smoothed = new double[values.length];
    for (int p = 0; p < values.length; p++) {
      int from = Math.max(0, p - half);
      int to = Math.min(values.length, p + half + 1);
      smoothed[p] = (sums[to] - sums[from]) / (to - from);
    }
    return smoothed;
  }

  /**
   * Median of the pitch between two points in cents above the expected, a tenth of a second each.
   */
  double middleCents(int from, int to) {
    double[] cents = new double[to - from];
    for (int p = from; p < to; p++) {
      cents[p - from] = phase.cents(p * hop - middleWindow / 2, p * hop + middleWindow / 2);
    }
    return Medians.of(cents);
  }

  /**
   * Whether the pitch swings: its standard deviation around its own mean of a third of a second,
   * which is a cycle of a slow vibrato and more, is above a bound.
   */
  boolean hasVibrato(int first, int last) {
    double squares = 0;
    int count = 0;
    for (int p = first; p < last; p++) {
      int at = p * hop;
      double now = phase.cents(at - hop, at + hop);
      double around = phase.cents(at - vibratoWindow / 2, at + vibratoWindow / 2);
      squares += (now - around) * (now - around);
      count++;
    }
    return count > 0 && Math.sqrt(squares / count) > VIBRATO_CENTS;
  }

  /** Whether bow changes or breaths are all over a part. */
  boolean changesEverywhere(SteadyPart steady) {
    int changes = 0;
    for (int p = steady.first(); p < steady.last(); p++) {
      changes += change[p] ? 1 : 0;
    }
    return CHANGES_EVERYWHERE * changes > steady.last() - steady.first();
  }

  private void changes(double pointsASecond) {
    int n = level.length;
    int around = (int) Math.ceil(AROUND_S * pointsASecond);
    double[] flux = new double[n];
    for (int p = 1; p < n; p++) {
      for (int b = 0; b < BANDS; b++) {
        flux[p] += Math.abs(bands[p][b] - bands[p - 1][b]) / BANDS;
      }
    }
    double usual = Medians.of(flux, n);
    double[] dips = new double[n];
    for (int p = 0; p < n; p++) {
      double middle = Medians.of(level, Math.max(0, p - around), Math.min(n, p + around + 1));
      dips[p] = middle - level[p];
    }
    double[] sorted = dips.clone();
    Arrays.sort(sorted);
    double usualDip = n > 0 ? sorted[(int) (USUAL_DIP_QUANTILE * (n - 1))] : 0;
    double maxDip = Math.max(DIP_DB, DIPS * usualDip);
    for (int p = 0; p < n; p++) {
      change[p] = dips[p] > maxDip || flux[p] > SUDDEN * usual + 1;
    }
  }

  /**
   * How differently the note sounds around two points by level and timbre: 0 for alike, 1 where it
   * can just be heard.
   *
   * @param max where it is so much or more, anything from that on may be the answer
   */
  double difference(int a, int b, int reach, double max) {
    double sum = 0;
    int count = 0;
    // What is still to come can only add to the sum.
    double enough = SURELY * max * (2 * reach + 1);
    for (int k = -reach; k <= reach && !(sum > enough); k++) {
      int i = a + k;
      int j = b + k;
      if (i < 0 || j < 0 || i >= level.length || j >= level.length) {
        continue;
      }
      double loud = level[i] - level[j];
      double colour = 0;
      for (int band = 0; band < BANDS; band++) {
        double off = bands[i][band] - bands[j][band];
        colour += off * off / BANDS;
      }
      sum += loud * loud + colour / 4;
      count++;
    }
    return sum / count;
  }
}
