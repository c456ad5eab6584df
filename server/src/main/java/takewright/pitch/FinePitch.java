package takewright.pitch;

import java.util.Arrays;
import takewright.dsp.BlockVector;
import takewright.dsp.Windows;

/**
 * The exact frequency of a note whose pitch is known to within a quarter tone, by the
 * autocorrelation of a windowed stretch divided by that of the window (Boersma, "Accurate
 * short-term analysis of the fundamental frequency and the harmonics-to-noise ratio of a sampled
 * sound", IFA Proceedings 17, 1993), read at a lag of several periods, where a mistake of a
 * fraction of a frame weighs less.
 *
 * <p>Only the few lags around each multiple of the period are worked out, by sums over the stretch:
 * a transform would give thousands that nobody asks for, and takes several times as long.
 */
final class FinePitch {
  /** Length of a stretch: this long, or this many periods, whichever is longer. */
  private static final double STRETCH_S = 0.08;

  private static final int STRETCH_PERIODS = 12;

  /** Share of it, and of the lags below, for a short note. */
  private static final double SHORT = 0.5;

  /** Lags are read at 1, 2, 4, ... periods, or 1, 4, 16, ... periods, to this many at least. */
  private static final int MIN_MULTIPLE = 8;

  /** And on up to this lag in seconds: at high notes 8 periods are too few frames for a cent. */
  private static final double LAG_S = 0.012;

  /**
   * How far from the expected lag the peak is looked for: 0.4 % of it (7 cents), at least 2 frames.
   */
  private static final double SEARCH = 0.004;

  /** Share of a stretch that repeats, from which its period is plain. */
  private static final double PLAIN = 0.7;

  /**
   * Lag in frames from which the next is four times as long: the peak of a shorter one is read too
   * coarsely for that. Twelve sums in a stretch become nine, and 60 recordings keep their pitch
   * (2026-12-01); without this bound the highest of them moved by 0.3 cents.
   */
  private static final double LEAP = 32;

  /** Lags of the first look, each way. */
  private static final int COARSE_STEPS = 4;

  private final int sampleRate;
  private final int length;
  private final float[] window;
  private final int longest;
  private final float[] work;

  /** The stretch's correlation by lag, as far as it was asked for; NaN where it was not. */
  private final double[] known;

  private final BlockVector heard;
  private final double expectedLag;
  private final int maxMultiple;
  private double power;
  private double clarity;

  /** The period of the stretch before, in frames, if it was plain; then this one's lies near. */
  private double lagBefore = Double.NaN;

  /**
   * For stretches of a note.
   *
   * @param frequencyHz about where it lies
   * @param available frames that there are; stretches are shorter where these are few
   */
  FinePitch(int sampleRate, double frequencyHz, int available) {
    this(sampleRate, frequencyHz, available, 1);
  }

  /** For half as long stretches: those of a short note, whose pitch moves. */
  static FinePitch ofShort(int sampleRate, double frequencyHz, int available) {
    return new FinePitch(sampleRate, frequencyHz, available, SHORT);
  }

  private FinePitch(int sampleRate, double frequencyHz, int available, double share) {
    this.sampleRate = sampleRate;
    expectedLag = sampleRate / frequencyHz;
    int multiple = (int) (share * MIN_MULTIPLE);
    while (2 * multiple * expectedLag <= LAG_S * sampleRate) {
      multiple *= 2;
    }
    // A short low note has few periods: lags longer than a third of it would say little.
    while (multiple > 1 && 3 * multiple * expectedLag > available) {
      multiple /= 2;
    }
    maxMultiple = multiple;
    // A quarter more than the longest lag, since the note may be lower than expected.
    longest = (int) (1.25 * multiple * expectedLag) + 4;
    double stretch = share * Math.max(STRETCH_S * sampleRate, STRETCH_PERIODS * expectedLag);
    int wanted = (int) stretch + longest;
    length = Math.max(2 * longest, Math.min(wanted, available));
    work = new float[length];
    known = new double[longest + 2];
    heard = new BlockVector(length);
    window = Windows.hann(length);
  }

  /** Frames of a stretch. */
  int length() {
    return length;
  }

  /** Frequency in hertz of the stretch from {@code at}, or NaN where nothing repeats there. */
  double measure(float[] audio, int at) {
    // Copied first: HotSpot makes vector code of arrays that are read from the same index on.
    System.arraycopy(audio, at, work, 0, length);
    for (int i = 0; i < length; i++) {
      work[i] *= window[i];
    }
    Arrays.fill(known, Double.NaN);
    heard.load(work, 0, length);
    power = heard.dot(heard);
    clarity = 0;
    double lag = expectedLag;
    // The first look reaches 60 cents to either side: the expectation is coarse. From a stretch
    // whose period was plain the next one is had by going uphill: a quarter less time, and the same
    // pitch of each of 70 recordings to a millionth of a cent (2026-11-30).
    int reach = (int) Math.max(2, Math.ceil(0.036 * lag));
    int expected = (int) Math.round(lag);
    boolean goesOn = !Double.isNaN(lagBefore);
    int centre = goesOn ? (int) Math.round(lagBefore) : coarsePeak(expected, reach);
    lagBefore = Double.NaN;
    int multiple = 1;
    while (true) {
      if (multiple > 1) {
        centre = (int) Math.round(lag * multiple);
      }
      if (centre + reach + 1 >= longest) {
        return sampleRate / lag;
      }
      double shift = peakNear(centre, reach);
      if (goesOn && multiple == 1 && !(Math.abs(centre + shift - expectedLag) <= reach)) {
        centre = coarsePeak(expected, reach);
        shift = peakNear(centre, reach);
      }
      if (Double.isNaN(shift)) {
        // No peak there: vibrato or noise has washed it out, so the shorter lag stands.
        return multiple == 1 ? Double.NaN : sampleRate / lag;
      }
      lag = (centre + shift) / multiple;
      if (multiple == 1) {
        clarity = Math.min(1, correlation((int) Math.round(lag)) / power);
        lagBefore = clarity >= PLAIN ? lag : Double.NaN;
      }
      if (multiple == maxMultiple) {
        return sampleRate / lag;
      }
      // Where the period is plain a lag twice as long would only lead on to one four times as long.
      boolean leaps = clarity >= PLAIN && lag * multiple >= LEAP && 4 * multiple <= maxMultiple;
      multiple *= leaps ? 4 : 2;
      reach = (int) Math.max(2, SEARCH * lag * multiple);
    }
  }

  /** RMS of the last stretch under its window, up to a factor that is the same for all. */
  double level() {
    return Math.sqrt(power);
  }

  /** Share of the last stretch that repeats after a period: 0 to 1. */
  double clarity() {
    return Math.max(0, clarity);
  }

  /** The highest of a few lags laid over the reach; only the highest partials fall between them. */
  private int coarsePeak(int centre, int reach) {
    int step = Math.max(1, reach / COARSE_STEPS);
    int best = centre;
    double max = correlation(centre);
    for (int away = step; away <= reach; away += step) {
      for (int k = centre - away; k <= centre + away; k += 2 * away) {
        double here = k < 1 || k >= longest ? -1 : correlation(k);
        if (here > max) {
          max = here;
          best = k;
        }
      }
    }
    return best;
  }

  /** How far the peak uphill from a lag lies from it, in frames; NaN where there is none. */
  private double peakNear(int lag, int reach) {
    int peak = lag;
    double before = correlation(peak - 1);
    double here = correlation(peak);
    double after = correlation(peak + 1);
    while (before > here || after > here) {
      boolean up = after >= before;
      peak += up ? 1 : -1;
      if (Math.abs(peak - lag) > reach || peak < 2) {
        return Double.NaN;
      }
      if (up) {
        before = here;
        here = after;
        after = correlation(peak + 1);
      } else {
        after = here;
        here = before;
        before = correlation(peak - 1);
      }
    }
    double bend = before - 2 * here + after;
    return bend < 0 ? peak - lag + 0.5 * (before - after) / bend : Double.NaN;
  }

  /** Autocorrelation of the stretch at a lag over that of the window. */
  private double correlation(int lag) {
    if (Double.isNaN(known[lag])) {
      double product = heard.dot(work, lag, length - lag);
      known[lag] = product / windowCorrelation((double) lag / length);
    }
    return known[lag];
  }

  /** That of a Hann window at a lag of a share of its length (Boersma's equation 8); 1 at 0. */
  private static double windowCorrelation(double share) {
    double angle = 2 * Math.PI * share;
    return (1 - share) * (2 + Math.cos(angle)) / 3 + Math.sin(angle) / (2 * Math.PI);
  }
}
