package takewright.analyse;

import java.util.Arrays;
import takewright.audio.Clip;
import takewright.dsp.Cents;
import takewright.dsp.Medians;
import takewright.pitch.HarmonicSum;
import takewright.pitch.Pitch;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchOfNote;
import takewright.pitch.PitchPath;

/** Measures drift, vibrato and glides on a pitch path. */
final class CourseOfPitch {
  /**
   * Range of a path around a note; the shorter its windows, the more of a vibrato shows, and they
   * are as long as the lowest pitch asks for.
   */
  private static final double BELOW = 1.5;

  private static final double ABOVE = 4;

  /** If less of it has a pitch in that range, the full range is used. */
  private static final double MAX_VOICED = 0.9;

  /** Vibrato is looked for from 3 to 10 Hz: players keep to 4 to 8. */
  private static final double SLOWEST_HZ = 3;

  private static final double FASTEST_HZ = 10;

  /** In stretches of a second, which hold at least three cycles, half a second apart. */
  private static final double STRETCH_S = 1;

  /** Minimum share of the variance in a stretch that a vibrato explains. */
  private static final double MIN_EXPLAINED = 0.5;

  /** Minimum depth, in cents: less is the unsteadiness of any string or breath. */
  private static final double MIN_SWING = 4;

  /** A glide goes further than a wide vibrato, in cents. */
  private static final double MIN_GLIDE = 80;

  /** Minimum share of the smoothed pitch's movement in one direction. */
  private static final double ONE_WAY = 0.7;

  /** Share of the path at either end that says where a glide starts and ends. */
  private static final double END_SHARE = 0.08;

  private final double[] cents;
  private final double[] level;
  private final double stepS;
  private final int count;
  private final double voiced;

  private CourseOfPitch(PitchPath path) {
    double loudest = Arrays.stream(path.level).max().orElse(0);
    int n = path.hz.length;
    int from = 0;
    int to = n - 1;
    double min = PitchOfNote.STEADY_SHARE * loudest;
    while (from < to && path.level[from] < min) {
      from++;
    }
    while (to > from && path.level[to] < min) {
      to--;
    }
    cents = new double[to + 1 - from];
    level = new double[to + 1 - from];
    stepS = path.stepS;
    int pitched = 0;
    for (int w = from; w <= to; w++) {
      cents[w - from] = Cents.above(path.hz[w], 1);
      level[w - from] = path.level[w];
      pitched += Double.isNaN(path.hz[w]) ? 0 : 1;
    }
    count = pitched;
    voiced = (double) pitched / cents.length;
  }

  /** The course of a sample's pitch; null if hardly any is heard. */
  static Course of(Clip sample, Pitch pitch) {
    int rate = sample.sampleRate();
    float[] mono = sample.mono();
    if (pitch != null) {
      double hz = pitch.frequencyHz();
      double low = Math.max(HarmonicSum.LOWEST_HZ / 1.5, hz / BELOW);
      double high = Math.min(0.45 * rate, hz * ABOVE);
      PitchPath near = PitchPath.of(mono, rate, low, high, hz);
      CourseOfPitch course = new CourseOfPitch(near);
      if (course.voiced >= MAX_VOICED) {
        return course.read(near.integrationS);
      }
    }
    PitchPath all = PitchPath.of(mono, rate, PitchDetector.LOWEST_HZ, PitchDetector.HIGHEST_HZ, 0);
    CourseOfPitch course = new CourseOfPitch(all);
    return course.count < 3 || course.voiced < 0.3 ? null : course.read(all.integrationS);
  }

  private Course read(double integrationS) {
    double mean = 0;
    double weight = 0;
    for (int i = 0; i < cents.length; i++) {
      if (!Double.isNaN(cents[i])) {
        mean += level[i] * cents[i];
        weight += level[i];
      }
    }
    mean /= weight;
    double square = 0;
    double time = 0;
    double timeSquare = 0;
    double product = 0;
    for (int i = 0; i < cents.length; i++) {
      if (!Double.isNaN(cents[i])) {
        double off = cents[i] - mean;
        square += level[i] * off * off;
        time += level[i] * i;
        timeSquare += level[i] * i * (double) i;
        product += level[i] * i * off;
      }
    }
    double spread = timeSquare - time * time / weight;
    double slope = spread > 0 ? product / spread : 0;
    double[] vibrato = vibrato(integrationS, 1 / Cents.toRatio(mean));
    double[] ends = ends();
    boolean glides = glides(ends);
    return new Course(
        Math.sqrt(square / weight),
        slope * (cents.length - 1),
        vibrato[0],
        vibrato[1],
        glides ? Cents.toRatio(ends[0]) : Double.NaN,
        glides ? Cents.toRatio(ends[1]) : Double.NaN,
        voiced);
  }

  /** Rate in hertz and depth in cents: medians over the stretches with a vibrato. */
  private double[] vibrato(double integrationS, double periodS) {
    int stretch = (int) Math.round(STRETCH_S / stepS);
    int apart = Math.max(1, stretch / 2);
    int max = Math.max(0, (cents.length - stretch) / apart + 1);
    double[] rates = new double[max];
    double[] swings = new double[max];
    int looked = 0;
    int found = 0;
    double[] x = new double[stretch];
    for (int from = 0; from + stretch <= cents.length; from += apart) {
      if (!flattened(from, x)) {
        continue;
      }
      looked++;
      double rate = strongest(x);
      double[] wave = fit(x, rate);
      if (wave[1] >= MIN_EXPLAINED && rate > SLOWEST_HZ && rate < FASTEST_HZ) {
        // A pitch averaged over a window shows less than the full depth.
        double seen = sinc(rate * integrationS) * sinc(rate * periodS);
        double swing = wave[0] / seen;
        if (swing >= MIN_SWING) {
          rates[found] = rate;
          swings[found++] = swing;
        }
      }
    }
    return found == 0 || 2 * found < looked
        ? new double[] {Double.NaN, Double.NaN}
        : new double[] {Medians.of(rates, found), Medians.of(swings, found)};
  }

  /** A stretch less its straight line; false if a tenth or more of it has no pitch. */
  private boolean flattened(int from, double[] x) {
    int n = x.length;
    double sum = 0;
    double time = 0;
    double square = 0;
    double product = 0;
    int known = 0;
    for (int i = 0; i < n; i++) {
      double v = cents[from + i];
      if (!Double.isNaN(v)) {
        known++;
        sum += v;
        time += i;
        square += (double) i * i;
        product += i * v;
      }
    }
    if (known < 0.9 * n) {
      return false;
    }
    double slope = (product - time * sum / known) / (square - time * time / known);
    double start = (sum - slope * time) / known;
    for (int i = 0; i < n; i++) {
      double v = cents[from + i];
      x[i] = Double.isNaN(v) ? 0 : v - start - slope * i;
    }
    return true;
  }

  /** The rate at which the stretch swings most, by its windowed transform in steps of 0.05 Hz. */
  private double strongest(double[] x) {
    double best = 0;
    double max = -1;
    for (double rate = SLOWEST_HZ - 0.5; rate <= FASTEST_HZ + 0.5; rate += 0.05) {
      double re = 0;
      double im = 0;
      for (int i = 0; i < x.length; i++) {
        double w = 0.5 - 0.5 * Math.cos(2 * Math.PI * (i + 0.5) / x.length);
        re += w * x[i] * Math.cos(2 * Math.PI * rate * i * stepS);
        im += w * x[i] * Math.sin(2 * Math.PI * rate * i * stepS);
      }
      if (re * re + im * im > max) {
        max = re * re + im * im;
        best = rate;
      }
    }
    return best;
  }

  /** Amplitude of the sine of a rate that fits best, and the share of the power it explains. */
  private double[] fit(double[] x, double rate) {
    double cc = 0;
    double ss = 0;
    double cs = 0;
    double xc = 0;
    double xs = 0;
    double xx = 0;
    for (int i = 0; i < x.length; i++) {
      double c = Math.cos(2 * Math.PI * rate * i * stepS);
      double s = Math.sin(2 * Math.PI * rate * i * stepS);
      cc += c * c;
      ss += s * s;
      cs += c * s;
      xc += x[i] * c;
      xs += x[i] * s;
      xx += x[i] * x[i];
    }
    double det = cc * ss - cs * cs;
    double a = (xc * ss - xs * cs) / det;
    double b = (xs * cc - xc * cs) / det;
    return new double[] {Math.hypot(a, b), xx > 0 ? (a * xc + b * xs) / xx : 0};
  }

  /** Median pitch of the first and of the last voiced windows, in cents over 1 Hz. */
  private double[] ends() {
    double[] known = Arrays.stream(cents).filter(c -> !Double.isNaN(c)).toArray();
    int n = Math.max(1, (int) (END_SHARE * known.length));
    double start = Medians.of(Arrays.copyOfRange(known, 0, n), n);
    double end = Medians.of(Arrays.copyOfRange(known, known.length - n, known.length), n);
    return new double[] {start, end};
  }

  private boolean glides(double[] ends) {
    double net = Math.abs(ends[1] - ends[0]);
    if (net < MIN_GLIDE) {
      return false;
    }
    // Smoothed over a fifth of a second, so that vibrato counts for little.
    double[] known = Arrays.stream(cents).filter(c -> !Double.isNaN(c)).toArray();
    int span = (int) Math.max(1, Math.min(known.length / 8.0, 0.2 / stepS));
    double way = 0;
    double before = Double.NaN;
    for (int at = 0; at + span <= known.length; at += span) {
      double here = Medians.of(Arrays.copyOfRange(known, at, at + span), span);
      way += Double.isNaN(before) ? 0 : Math.abs(here - before);
      before = here;
    }
    return net >= ONE_WAY * way;
  }

  private static double sinc(double x) {
    return Math.abs(x) < 1e-9 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
  }
}
