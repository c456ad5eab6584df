package takewright.pitch;

import java.util.ArrayList;
import java.util.List;
import takewright.dsp.Cents;

/**
 * Notes by the sum of their harmonics: each candidate adds up the partials at its multiples, higher
 * ones with less weight; the strongest is taken, its harmonics are taken off, and so on (Klapuri,
 * "Multiple fundamental frequency estimation by summing harmonic amplitudes", ISMIR 2006).
 *
 * <p>For one note at a time the votes of {@link PitchTrack} proved better, above all in noise and
 * at weak fundamentals; for several at once a period is of no use, and this serves.
 */
public final class HarmonicSum {
  /** Lowest and highest pitch, in hertz. */
  public static final double LOWEST_HZ = 16;

  static final double HIGHEST_HZ = 8000;

  /**
   * Weight of harmonic h of a note f: (f + α) / (h f + β), in hertz; the paper's for long frames.
   */
  private static final double ALPHA_HZ = 52;

  private static final double BETA_HZ = 320;

  private static final int HARMONICS = 20;

  /** Every partial may be one of the first ten harmonics of a note. */
  private static final int DIVISORS = 10;

  /**
   * How far a harmonic may be off its multiple: 30 cents, what a stiff string's lower ones reach.
   */
  private static final double REACH = 0.0175;

  /** Notes nearer than 80 cents are one. */
  private static final double SAME = Cents.toRatio(80);

  /** What is taken off a harmonic of a note that was found. */
  private static final double TAKEN = 0.95;

  /** A further note has at least this share of the strongest's sum. */
  private static final double MIN_SHARE = 0.3;

  /** More notes than fingers. */
  private static final int MAX_NOTES = 6;

  private final Partials partials;
  private final double[] strength;

  public HarmonicSum(Partials partials) {
    this.partials = partials;
    strength = partials.strength().clone();
  }

  /** The note with the greatest sum, in hertz; NaN where there are no partials. */
  double strongest() {
    double best = Double.NaN;
    double max = 0;
    double[] hz = partials.hz();
    for (int k = 0; k < hz.length; k++) {
      if (strength[k] <= 0) {
        continue;
      }
      for (int d = 1; d <= DIVISORS; d++) {
        double f = hz[k] / d;
        if (f < LOWEST_HZ || f > HIGHEST_HZ) {
          continue;
        }
        double sum = sum(f);
        if (sum > max) {
          max = sum;
          best = f;
        }
      }
    }
    return Double.isNaN(best) ? best : refined(best);
  }

  /** All notes, lowest first, in hertz. A note an octave above another counts as its overtone. */
  public List<Double> all() {
    List<Double> found = new ArrayList<>();
    double first = 0;
    for (int n = 0; n < MAX_NOTES; n++) {
      double note = strongest();
      double sum = Double.isNaN(note) ? 0 : sum(note);
      if (sum <= MIN_SHARE * first) {
        break;
      }
      first = Math.max(first, sum);
      boolean overtone = found.stream().anyMatch(other -> related(other, note));
      if (!overtone && owns(note)) {
        found.add(note);
      }
      takeOff(note);
    }
    found.sort(Double::compare);
    return found;
  }

  /** A note of a cluster must have its fundamental or its second harmonic itself. */
  private boolean owns(double note) {
    return at(note, 1) >= 0 || at(note, 2) >= 0;
  }

  /** A whole multiple, or so near that it is one note whose vibrato has split its partials. */
  private static boolean related(double a, double b) {
    double ratio = Math.max(a, b) / Math.min(a, b);
    return Math.abs(ratio - Math.round(ratio)) < REACH * ratio || ratio < SAME;
  }

  /**
   * Whether a note has harmonics that two or more notes above it do not give it between them, in
   * chords of small ratios: itself, or several of those that are prime.
   */
  public boolean real(double note) {
    int own = 0;
    for (int h : new int[] {5, 7, 11, 13}) {
      own += at(note, h) >= 0 ? 1 : 0;
    }
    return at(note, 1) >= 0 || own >= 3;
  }

  private double sum(double f) {
    double sum = 0;
    for (int h = 1; h <= HARMONICS; h++) {
      int k = at(f, h);
      if (k >= 0) {
        sum += (f + ALPHA_HZ) / (h * f + BETA_HZ) * strength[k];
      }
    }
    return sum;
  }

  private int at(double f, int harmonic) {
    double target = f * harmonic;
    return partials.near(target, Math.max(partials.binHz(), REACH * target));
  }

  /** The frequency that its first harmonics agree on best, each as sure as it is strong. */
  private double refined(double f) {
    double weight = 0;
    double value = 0;
    for (int h = 1; h <= 5; h++) {
      int k = at(f, h);
      if (k >= 0) {
        weight += h * strength[k];
        value += strength[k] * partials.hz()[k];
      }
    }
    return weight > 0 ? value / weight : f;
  }

  /** Takes a note's harmonics off, each no further than its neighbours let expect. */
  private void takeOff(double f) {
    double before = Double.NaN;
    for (int h = 1; h <= HARMONICS; h++) {
      int k = at(f, h);
      if (k < 0) {
        continue;
      }
      int next = at(f, h + 1);
      double expected = strength[k];
      if (!Double.isNaN(before) && next >= 0) {
        expected = Math.min(expected, Math.max(before, strength[next]));
      }
      before = strength[k];
      strength[k] -= TAKEN * expected;
    }
  }
}
