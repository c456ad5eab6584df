package takewright.retune;

import java.util.Arrays;
import takewright.dsp.HarmonicTrack;
import takewright.dsp.Medians;

/**
 * The drift of a held note's pitch without its vibrato, which {@link Retune} removes.
 *
 * <p>The pitch is followed by the phases of the harmonics. A mean over exactly one cycle of the
 * vibrato removes that; lines fitted to the rest with Gaussian weights smooth it (local regression:
 * W. S. Cleveland, "Robust locally weighted regression and smoothing scatterplots", 1979), so that
 * drift below some 0.6 Hz stays and neither end is drawn to its inner side. Attack and release are
 * no part of it: there the curve stays as it is beside them, so that neither bends.
 */
public final class Drift {
  /** No drift. */
  public static final Drift NONE = new Drift(0, 1, new double[0]);

  /** The note lasts while its power is within 20 dB of its maximum. */
  private static final double STEADY = 1e-2;

  /** The power is first smoothed over this many seconds. */
  private static final double POWER_S = 0.05;

  /** The pitch is not followed this close to attack and release, in seconds. */
  private static final double EDGE_S = 0.1;

  /** Shorter steady parts have too few cycles to distinguish drift from vibrato, in seconds. */
  private static final double MIN_STEADY_S = 0.8;

  /** A window further off the median is an error of the track, in cents. */
  private static final double MAX_CENTS = 80;

  /** Width of the Gaussian weights in seconds: it passes nothing of 5 Hz, and a third of 1 Hz. */
  private static final double SIGMA_S = 0.25;

  /** The weights end this many widths away, where they are below 1 %. */
  private static final double REACH = 3;

  /** Period of a vibrato, 3.3 to 9 Hz, in seconds. */
  private static final double FASTEST_S = 0.11;

  private static final double SLOWEST_S = 0.3;

  /** Period if no vibrato is found, in seconds: the usual 5 Hz. */
  private static final double USUAL_S = 0.2;

  /** Autocorrelation at one period that makes it a vibrato. */
  private static final double SWINGS = 0.4;

  private final double firstS;
  private final double spacingS;
  private final double[] cents;

  private Drift(double firstS, double spacingS, double[] cents) {
    this.firstS = firstS;
    this.spacingS = spacingS;
    this.cents = cents;
  }

  /**
   * The drift of a note.
   *
   * @param audio of one channel
   * @param sampleRate in hertz
   * @param hz the note's frequency within a semitone; the drift is counted from there
   */
  public static Drift of(float[] audio, int sampleRate, double hz) {
    HarmonicTrack track = new HarmonicTrack(audio, 0, audio.length, sampleRate, hz);
    double spacing = (double) track.hop() / sampleRate;
    double[] pitch = new double[track.size()];
    for (int i = 0; i < pitch.length; i++) {
      pitch[i] = 1200 / Math.log(2) * Math.log1p(track.deviation(i));
    }
    int edge = (int) Math.ceil(EDGE_S / spacing);
    boolean[] sounds = sounds(track, (int) Math.ceil(POWER_S / spacing));
    int first = edge;
    int last = pitch.length - 1 - edge;
    while (first < last && !sounds[first - edge]) {
      first++;
    }
    while (last > first && !sounds[last + edge]) {
      last--;
    }
    if ((last - first) * spacing < MIN_STEADY_S) {
      return NONE;
    }
    double middle =
        Medians.of(Arrays.stream(pitch, first, last).filter(v -> !Double.isNaN(v)).toArray());
    for (int i = 0; i < pitch.length; i++) {
      // NaN if silent as well.
      boolean slip = !(Math.abs(pitch[i] - middle) <= MAX_CENTS);
      pitch[i] = slip ? Double.NaN : pitch[i];
    }
    double[] rough = smoothed(pitch, first, last, SIGMA_S / spacing, first, last);
    int swing = swing(pitch, rough, first, last, spacing);
    double[] mean = meanOverSwings(pitch, first, last, swing);
    int in = swing / 2;
    double[] smooth = smoothed(mean, first + in, last - in, SIGMA_S / spacing, first, last);
    // A track's position shows the phase advance up to it, so it belongs half a hop earlier.
    return new Drift((first - 0.5) * spacing, spacing, smooth);
  }

  private static boolean[] sounds(HarmonicTrack track, int width) {
    int n = track.size();
    double[] power = new double[n];
    double max = 0;
    for (int i = 0; i < n; i++) {
      int from = Math.max(0, i - width / 2);
      int to = Math.min(n, i + width / 2 + 1);
      for (int k = from; k < to; k++) {
        power[i] += track.power(k) / (to - from);
      }
      max = Math.max(max, power[i]);
    }
    boolean[] sounds = new boolean[n];
    for (int i = 0; i < n; i++) {
      sounds[i] = power[i] > STEADY * max;
    }
    return sounds;
  }

  /**
   * A smooth curve through values that hold {@code from} to {@code to}, both included, at the
   * places {@code first} to {@code last}, which may lie beyond.
   */
  private static double[] smoothed(
      double[] values, int from, int to, double sigma, int first, int last) {
    int reach = (int) Math.ceil(REACH * sigma);
    double[] smooth = new double[last - first + 1];
    for (int p = first; p <= last; p++) {
      double w = 0;
      double wx = 0;
      double wxx = 0;
      double wy = 0;
      double wxy = 0;
      for (int i = Math.max(from, p - reach); i <= Math.min(to, p + reach); i++) {
        if (!Double.isNaN(values[i])) {
          double x = (i - p) / sigma;
          double weight = Math.exp(-0.5 * x * x);
          w += weight;
          wx += weight * x;
          wxx += weight * x * x;
          wy += weight * values[i];
          wxy += weight * x * values[i];
        }
      }
      double spread = w * wxx - wx * wx;
      // Too few on one side for a line: the curve continues unchanged.
      smooth[p - first] =
          spread > 1e-6 * w * w && w > 1
              ? (wxx * wy - wx * wxy) / spread
              : p > first ? smooth[p - first - 1] : 0;
    }
    return smooth;
  }

  /** Points per cycle of the vibrato; an odd number. */
  private static int swing(double[] pitch, double[] rough, int first, int last, double spacing) {
    double[] rest = new double[last - first + 1];
    for (int i = 0; i < rest.length; i++) {
      double off = pitch[first + i] - rough[i];
      rest[i] = Double.isNaN(off) ? 0 : off;
    }
    int longest = (int) Math.floor(SLOWEST_S / spacing);
    double[] alike = new double[longest + 2];
    int shortest = (int) Math.ceil(FASTEST_S / spacing);
    for (int lag = shortest - 1; lag < alike.length; lag++) {
      double both = 0;
      double one = 1e-9;
      double other = 1e-9;
      for (int i = 0; i + lag < rest.length; i++) {
        both += rest[i] * rest[i + lag];
        one += rest[i] * rest[i];
        other += rest[i + lag] * rest[i + lag];
      }
      alike[lag] = both / Math.sqrt(one * other);
    }
    int best = 0;
    for (int lag = shortest; lag <= longest; lag++) {
      boolean top = alike[lag] >= alike[lag - 1] && alike[lag] >= alike[lag + 1];
      if (top && alike[lag] > SWINGS && (best == 0 || alike[lag] > alike[best])) {
        best = lag;
      }
    }
    int points = best > 0 ? best : (int) Math.rint(USUAL_S / spacing);
    return points / 2 * 2 + 1;
  }

  /** The mean over one cycle around each point where a whole cycle fits; NaN elsewhere. */
  private static double[] meanOverSwings(double[] pitch, int first, int last, int swing) {
    double[] mean = new double[pitch.length];
    Arrays.fill(mean, Double.NaN);
    for (int p = first + swing / 2; p <= last - swing / 2; p++) {
      double sum = 0;
      int count = 0;
      for (int i = p - swing / 2; i <= p + swing / 2; i++) {
        if (!Double.isNaN(pitch[i])) {
          sum += pitch[i];
          count++;
        }
      }
      if (2 * count > swing) {
        mean[p] = sum / count;
      }
    }
    return mean;
  }

  /** The same drift for a note that begins this many seconds later. */
  public Drift later(double seconds) {
    return new Drift(firstS + seconds, spacingS, cents);
  }

  /** The same, limited to a range in cents. */
  public Drift within(double lowest, double highest) {
    double[] held = new double[cents.length];
    for (int i = 0; i < held.length; i++) {
      held[i] = Math.max(lowest, Math.min(highest, cents[i]));
    }
    return new Drift(firstS, spacingS, held);
  }

  /** Its maximum above the reference, in cents, 0 or more. */
  public double highest() {
    return Math.max(0, Arrays.stream(cents).max().orElse(0));
  }

  /** Its minimum, in cents, 0 or less. */
  public double lowest() {
    return Math.min(0, Arrays.stream(cents).min().orElse(0));
  }

  /** Whether there is any. */
  public boolean isNone() {
    return cents.length == 0;
  }

  /** Its range, in cents. */
  public double range() {
    return isNone()
        ? 0
        : Arrays.stream(cents).max().orElse(0) - Arrays.stream(cents).min().orElse(0);
  }

  double firstS() {
    return firstS;
  }

  double spacingS() {
    return spacingS;
  }

  /** The time map that moves the pitch by this many cents and removes the drift. */
  double[] moves(double shift) {
    double[] moves = new double[cents.length];
    for (int i = 0; i < moves.length; i++) {
      moves[i] = shift - cents[i];
    }
    return moves;
  }
}
