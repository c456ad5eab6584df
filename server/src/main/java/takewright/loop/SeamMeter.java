package takewright.loop;

import java.util.Arrays;
import takewright.dsp.BlockVector;
import takewright.dsp.Decibels;
import takewright.dsp.Fft;
import takewright.dsp.Medians;
import takewright.loop.LoopSearch.Pair;

/** Lays the waveforms at two moments over each other, and measures what is heard at the seam. */
final class SeamMeter {
  /** Lags are tried within a period and within this, in seconds: half a step of the candidates. */
  private static final double MIN_REACH_S = 0.002;

  /** Cross-fades that are tried, longest first, as shares of the longest. */
  private static final double[] FADES = {1, 0.5, 0.25};

  /** A longer fade is taken where its waveforms are so much in step. */
  private static final double IN_STEP = 0.9;

  /** Periods that are faded at least: a fade of fewer would be a jump for a low note. */
  private static final double MIN_PERIODS = 3;

  /**
   * What is listened to on either side of a seam, in seconds: the longest stretch up to this that
   * fills a transform (85 ms at 48 kHz), and for low notes this number of periods.
   */
  private static final double WINDOW_S = 0.1;

  private static final double WINDOW_PERIODS = 6;

  /** Steps from one stretch of the note to the next that show by how much it moves. */
  private static final int MAX_STEPS = 33;

  /**
   * Waveforms are compared at about this rate first, in hertz: low partials say which periods fit.
   */
  private static final int COARSE_HZ = 12_000;

  private final float[] x;
  private final int rate;
  private final double hz;
  private final NoteCourse course;
  private final Ticks hiss;
  private final SteadyPart steady;
  private final Pulse pulse;
  private final Dip dip;
  private final Seam.InaudibleStep limits;
  private final int hop;

  /** The middle pitch of the steady part, in cents above the expected. */
  private final double middleCents;

  private final Centroid centroid;

  /** Frames of each fade, longest first. */
  private final int[] fades;

  /** Frames compared on either side of a seam, and lags to either side. */
  private final int half;

  private final int reach;
  private final int window;
  private final int step;
  private final float[] coarse;
  private final Fft fft;
  private final float[] here;
  private final float[] there;
  private final BlockVector exactHere;
  private final Energy energy;

  SeamMeter(
      float[] x,
      int sampleRate,
      LoopSettings settings,
      NoteCourse course,
      Ticks hiss,
      SteadyPart steady) {
    this.x = x;
    this.course = course;
    this.hiss = hiss;
    this.steady = steady;
    pulse = new Pulse(course, steady);
    hop = course.hop;
    energy = new Energy(x);
    hz = settings.frequencyHz();
    dip = new Dip(x, energy, sampleRate, hz, steady.first() * hop, steady.last() * hop);
    middleCents = course.middleCents(steady.first(), steady.last());
    rate = sampleRate;
    centroid = new Centroid(rate);
    int shortest = (int) (MIN_PERIODS / hz * rate);
    fades =
        Arrays.stream(FADES)
            .mapToInt(share -> Math.max(shortest, (int) (share * settings.fadeS() * rate)))
            .distinct()
            .toArray();
    half = fades[fades.length - 1];
    reach = (int) (Math.max(0.6 / hz, MIN_REACH_S) * rate);
    int transform = Integer.highestOneBit((int) (WINDOW_S * rate));
    window = Math.max(transform, (int) (WINDOW_PERIODS / hz * rate));
    step = Math.max(1, rate / COARSE_HZ);
    coarse = new float[x.length / step];
    for (int i = 0; i < coarse.length; i++) {
      float sum = 0;
      for (int k = 0; k < step; k++) {
        sum += x[i * step + k];
      }
      coarse[i] = sum / step;
    }
    fft = Fft.of(Integer.highestOneBit((2 * half + 2 * reach) / step) * 2);
    here = new float[fft.size()];
    there = new float[fft.size()];
    exactHere = new BlockVector(2 * fades[0]);
    limits = limits();
  }

  /** What the note itself moves by from one stretch of that length to the next, in the median. */
  private Seam.InaudibleStep limits() {
    int first = steady.first() * hop;
    int stretches = (Math.min(steady.last() * hop, x.length) - first) / window;
    int steps = Math.min(MAX_STEPS, stretches - 1);
    if (steps <= 0) {
      return Seam.InaudibleStep.of(0, 0);
    }
    double[] db = new double[steps];
    double[] timbre = new double[steps];
    int behind = -1;
    double centroidBehind = 0;
    for (int i = 0; i < steps; i++) {
      int at = first + i * (stretches - 1) / steps * window;
      double before = at == behind ? centroidBehind : centroid.hz(x, at, window);
      behind = at + window;
      centroidBehind = centroid.hz(x, behind, window);
      db[i] = step(at, behind);
      timbre[i] = Math.abs(before / centroidBehind - 1);
    }
    return Seam.InaudibleStep.of(Medians.of(db), Medians.of(timbre));
  }

  /**
   * The loop between two moments; null if there is no room for its fades, or it costs too much.
   *
   * @param max a loop that costs as much or more is of no use; as soon as that is known, no more of
   *     it is measured
   */
  Seam measure(Pair pair, double max) {
    int start = pair.start();
    int reachOfFade = Math.max(fades[0], window);
    if (start < reachOfFade || pair.end() + reachOfFade + reach + step > x.length) {
      return null;
    }
    int end = pair.end() + lag(start, pair.end());
    if (end - start < fades[0]) {
      return null;
    }
    int fade = half;
    double likeness = -1;
    for (int tried : fades) {
      double like = likeness(start - tried, end - tried, 2 * tried);
      if (like > likeness) {
        likeness = like;
        fade = tried;
      }
      if (likeness >= IN_STEP) {
        break;
      }
    }
    Loop loop = new Loop(start, end - 1, fade);
    double db = Math.max(step(start - window, end - window), step(start, end));
    double tickDb = Math.max(0, Math.max(hiss.excessDb(start), hiss.excessDb(end)));
    // What takes longest comes last: it can only add to the cost.
    Seam seam =
        new Seam(loop, likeness, 0, db, 0, cents(start, end), tickDb, 0, pair.cost(), limits);
    if (seam.cost() >= max) {
      return null;
    }
    seam = seam.fading(dip.excessDb(loop, likeness)).pulsing(pulse.excess(loop));
    if (seam.cost() >= max) {
      return null;
    }
    double before = timbre(start - window, end - window);
    if (seam.changing(before).cost() >= max) {
      return null;
    }
    return seam.changing(Math.max(before, timbre(start, end)));
  }

  /** The mean pitch is what is heard in the end; the middle of a swing is half as plain. */
  private double cents(int start, int end) {
    double mean = Math.abs(course.phase.cents(start, end) - steady.pitchCents());
    double middle = course.middleCents(start / hop, end / hop) - middleCents;
    return Math.max(mean, Math.abs(middle) / 2);
  }

  private double likeness(int a, int b, int count) {
    exactHere.load(x, a, count);
    return exactHere.dot(x, b, count)
        / Math.sqrt(energy.of(a, count) * energy.of(b, count) + Float.MIN_NORMAL);
  }

  /** By how many frames the end moves so that the waveforms are most alike. */
  private int lag(int start, int end) {
    int coarsely = coarseLag(start - half, end - half - reach);
    int best = 0;
    double max = -1;
    exactHere.load(x, start - half, 2 * half);
    for (int lag = coarsely - step; lag <= coarsely + step; lag++) {
      int at = end - half - reach + lag;
      double like =
          exactHere.dot(x, at, 2 * half) / Math.sqrt(energy.of(at, 2 * half) + Float.MIN_NORMAL);
      if (like > max) {
        max = like;
        best = lag;
      }
    }
    return best - reach;
  }

  /**
   * The lag behind {@code at}, to within a step, at which the sound is most like {@code from}'s.
   */
  private int coarseLag(int from, int at) {
    load(here, from / step, 2 * half / step);
    load(there, at / step, (2 * half + 2 * reach) / step);
    fft.crossSpectrum(here, there);
    fft.inverse(here);
    int best = 0;
    double max = -1;
    for (int lag = 0; lag <= 2 * reach / step; lag++) {
      double like = here[lag] / Math.sqrt(energy.of(at + lag * step, 2 * half) + Float.MIN_NORMAL);
      if (like > max) {
        max = like;
        best = lag;
      }
    }
    return Math.max(0, Math.min(2 * reach, best * step + from % step - at % step));
  }

  private void load(float[] to, int from, int count) {
    System.arraycopy(coarse, from, to, 0, count);
    Arrays.fill(to, count, to.length, 0);
  }

  /** Difference of the levels of two stretches, in dB. */
  private double step(int a, int b) {
    double ratio =
        (energy.of(a, window) + Float.MIN_NORMAL) / (energy.of(b, window) + Float.MIN_NORMAL);
    return Math.abs(Decibels.fromPower(ratio));
  }

  /** Difference of the spectral centroids of two stretches, as a share. */
  private double timbre(int a, int b) {
    return Math.abs(centroid.hz(x, a, window) / centroid.hz(x, b, window) - 1);
  }
}
