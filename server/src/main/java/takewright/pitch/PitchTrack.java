package takewright.pitch;

import java.util.Arrays;
import takewright.dsp.Cents;
import takewright.dsp.Medians;

/**
 * The pitch candidates of one sound over time, and what they agree on.
 *
 * <p>A single window slips an octave now and then; the windows of a whole note hardly ever slip
 * together. So every candidate of every window votes with its probability and the window's level,
 * and the note is where most votes fall.
 */
public final class PitchTrack {
  /** Candidates kept a window; those beyond carry next to no probability. */
  private static final int KEPT = 4;

  /** Votes within this many cents speak for the same note: a vibrato's usual half width. */
  static final int REACH_CENTS = 60;

  /** So close do the windows of a note that holds lie to it, in cents; a voice passes through. */
  private static final int HELD_CENTS = 25;

  /** A window must be this much stronger than the room, as a power ratio (3 dB), to have a say. */
  private static final double NOISE_MARGIN = 2;

  /** Above this aperiodicity a window has no pitch: the repeating part is but twice the rest. */
  public static final double MAX_APERIODIC = 0.33;

  /**
   * A window's say grows with this power of its power: an attack is not to outvote a note that
   * rings on. Of 1, 1/2, 1/4 and 1/10 this told notes and talk apart best on takes.
   */
  private static final double SAY = 0.25;

  /** Frequencies at which a tone is misheard, in relation to its own: octaves and twelfths. */
  private static final double[] RELATIONS = {1 / 3.0, 0.5, 2, 3};

  /** So far an inharmonic partial bends the dip of a bar's period, in cents. */
  private static final double BENT_CENTS = 150;

  /** A candidate less probable than this is a guess. */
  private static final float GUESS = 0.05f;

  /** Parts of a sound each of which a glide takes further. */
  private static final int GLIDE_PARTS = 8;

  /** A note that follows another jumps by more than this from window to window, in cents. */
  private static final double JUMP_CENTS = 80;

  /** A wrong note lies from here to there beside the right one, in cents: up to a whole tone. */
  private static final double OTHER_CENTS = 65;

  private static final double FURTHEST_CENTS = 250;

  /** And holds for this many windows; a scoop from below does not. */
  private static final int MIN_HELD = 3;

  /** Windows of an attack that may be misheard before it. */
  private static final int MAX_STRAYS = 3;

  /** Share of jumps that may be slips of the ear. */
  private static final double MAX_JUMPS = 0.05;

  private int size;
  private long[] centres = new long[64];
  private float[] powers = new float[64];
  private float[] frequencies = new float[64 * KEPT];
  private float[] weights = new float[64 * KEPT];

  /** Lowest strong partial of a window whose partials are not harmonic; 0 of the others. */
  private float[] bars = new float[64];

  private final double[] probabilities = new double[64];

  /**
   * What the windows agree on.
   *
   * @param frequencyHz the pitch most votes fall on, in hertz; 0 where there is none
   * @param share share of all votes, weighted as they have a say, that fall within 60 cents of it:
   *     0 to 1
   * @param related the same with votes for its octaves and twelfths: they are no other note but the
   *     same one misheard, while a voice wanders anywhere
   * @param voiced share of the windows, weighted so, that repeat at any pitch: 0 to 1
   * @param firstHz the pitch that the first tenth of the voiced windows agrees on, in hertz; 0 for
   *     none
   * @param held share of the votes of windows that repeat, weighted so, that fall within 25 cents
   *     of the pitch, its octaves or its twelfths: 0 to 1
   * @param heldWindows number of windows that are stronger than the room and whose likeliest
   *     candidate is within 25 cents of the pitch
   */
  public record Summary(
      double frequencyHz,
      double share,
      double related,
      double voiced,
      double firstHz,
      double held,
      int heldWindows) {}

  /**
   * Adds the window that {@code detector} last looked at.
   *
   * @param centre frame at the middle of the window
   */
  public void add(long centre, PitchDetector detector, int candidates) {
    makeRoom();
    centres[size] = centre;
    powers[size] = (float) (detector.rms() * detector.rms());
    int base = size * KEPT;
    WindowSpectrum spectrum = detector.spectrum();
    double voted = 0;
    // A window that repeats at all has a whole vote, however noisy: that it agrees with the others
    // is what counts. One that does not has none.
    if (detector.deepest() <= MAX_APERIODIC) {
      detector.probabilities(probabilities);
      for (int c = 0; c < candidates; c++) {
        double hz = atBar(detector.frequency(c), spectrum);
        if (probabilities[c] < GUESS || spectrum == null || spectrum.allows(hz)) {
          keep(base, hz, (float) probabilities[c]);
          voted += probabilities[c];
        }
      }
    }
    if (spectrum != null && spectrum.bar() > 0 && voted < 1) {
      keep(base, spectrum.bar(), (float) (1 - voted));
    }
    boolean isBar = spectrum != null && (voted <= 0.5 || spectrum.isInharmonic());
    bars[size++] = isBar ? (float) spectrum.bar() : 0;
  }

  /** Adds a window of another track. */
  public void add(PitchTrack other, int window) {
    makeRoom();
    centres[size] = other.centres[window];
    powers[size] = other.powers[window];
    System.arraycopy(other.frequencies, window * KEPT, frequencies, size * KEPT, KEPT);
    System.arraycopy(other.weights, window * KEPT, weights, size * KEPT, KEPT);
    bars[size++] = other.bars[window];
  }

  private void makeRoom() {
    if (size == centres.length) {
      centres = Arrays.copyOf(centres, 2 * size);
      powers = Arrays.copyOf(powers, 2 * size);
      frequencies = Arrays.copyOf(frequencies, 2 * size * KEPT);
      weights = Arrays.copyOf(weights, 2 * size * KEPT);
      bars = Arrays.copyOf(bars, 2 * size);
    }
  }

  /** A strong inharmonic partial bends the dip of a bar's period, not its partial. */
  private static double atBar(double hz, WindowSpectrum spectrum) {
    double bar = spectrum == null ? 0 : spectrum.bar();
    return bar > 0 && Cents.apart(hz, bar) <= BENT_CENTS ? bar : hz;
  }

  /** Keeps a candidate of the newest window if it is among the likeliest. */
  private void keep(int base, double hz, float weight) {
    int min = base;
    for (int k = base + 1; k < base + KEPT; k++) {
      if (weights[k] < weights[min]) {
        min = k;
      }
    }
    if (weight > weights[min]) {
      weights[min] = weight;
      frequencies[min] = (float) hz;
    }
  }

  /** Number of windows. */
  public int size() {
    return size;
  }

  /**
   * What the windows agree on.
   *
   * @param noisePower mean square of the room tone, which is no part of a window's say; 0 if not
   *     known
   */
  public Summary summary(double noisePower) {
    PitchVotes votes = new PitchVotes();
    double[] say = new double[size];
    double total = 0;
    double voiced = 0;
    for (int i = 0; i < size; i++) {
      say[i] = Math.pow(Math.max(0, powers[i] - NOISE_MARGIN * noisePower), SAY);
      total += say[i];
      voiced += say[i] * vote(i, votes, say[i]);
    }
    if (voiced <= 0) {
      return new Summary(0, 0, 0, 0, 0, 0, 0);
    }
    double best = votes.strongest();
    double near = 0;
    double related = 0;
    double held = 0;
    int windows = 0;
    for (int i = 0; i < size; i++) {
      near += say[i] * support(i, best, REACH_CENTS);
      held += say[i] * support(i, best, HELD_CENTS);
      for (double relation : RELATIONS) {
        related += say[i] * support(i, relation * best, REACH_CENTS);
        held += say[i] * support(i, relation * best, HELD_CENTS);
      }
      windows += say[i] > 0 && support(i, best, HELD_CENTS) > 0.5 ? 1 : 0;
    }
    return new Summary(
        best,
        near / total,
        (near + related) / total,
        voiced / total,
        first(0.1, say),
        held / voiced,
        windows);
  }

  /**
   * Share of the windows, weighted as they have a say, that have a pitch within some cents of one
   * of the window before: 0 to 1. Notes and glides move steadily; a voice breaks off and jumps from
   * syllable to syllable.
   *
   * @param noisePower as for {@link #summary}
   */
  public double steady(double noisePower, double cents) {
    double total = 0;
    double steady = 0;
    for (int i = 1; i < size; i++) {
      double say = Math.pow(Math.max(0, powers[i] - NOISE_MARGIN * noisePower), SAY);
      total += say;
      steady += goesOn(i, cents) ? say : 0;
    }
    return total > 0 ? steady / total : 0;
  }

  /** Whether a candidate of a window lies near one of the window before, neither a mere guess. */
  private boolean goesOn(int window, double cents) {
    for (int a = (window - 1) * KEPT; a < window * KEPT; a++) {
      for (int b = window * KEPT; b < (window + 1) * KEPT; b++) {
        if (weights[a] > GUESS
            && weights[b] > GUESS
            && Cents.apart(frequencies[a], frequencies[b]) <= cents) {
          return true;
        }
      }
    }
    return false;
  }

  /**
   * How far the pitch glides from beginning to end, in cents: upwards above 0, and 0 where it
   * stands, turns or jumps.
   */
  public double glide() {
    double[] pitch = new double[size];
    int voiced = 0;
    int jumps = 0;
    for (int i = 0; i < size; i++) {
      double hz = likeliest(i);
      if (hz > 0) {
        pitch[voiced] = Cents.above(hz, PitchVotes.BASE_HZ);
        jumps += voiced > 0 && Math.abs(pitch[voiced] - pitch[voiced - 1]) > JUMP_CENTS ? 1 : 0;
        voiced++;
      }
    }
    if (voiced < 4 * GLIDE_PARTS || jumps > MAX_JUMPS * voiced) {
      return 0;
    }
    double first = 0;
    double before = 0;
    double direction = 0;
    for (int k = 0; k < GLIDE_PARTS; k++) {
      int from = k * voiced / GLIDE_PARTS;
      int to = (k + 1) * voiced / GLIDE_PARTS;
      double here = Medians.of(Arrays.copyOfRange(pitch, from, to), to - from);
      double step = here - before;
      if (k == 0) {
        first = here;
      } else if (k == 1) {
        direction = Math.signum(step);
      }
      if (k > 0 && step * direction <= 0) {
        return 0;
      }
      before = here;
    }
    return before - first;
  }

  /**
   * Frames for which the sound first holds a pitch beside its own: a note begun on the wrong one. 0
   * where it does not.
   *
   * @param hertz its own pitch
   * @param onset frame at which it sets in: what is heard before is none of it
   */
  public long otherStart(double hertz, long onset) {
    int first = -1;
    int last = -1;
    int held = 0;
    int strays = 0;
    for (int i = 0; i < size; i++) {
      double hz = likeliest(i);
      if (hz <= 0 || centres[i] < onset) {
        continue;
      }
      double off = Cents.apartInOctave(hz, hertz);
      boolean isOther = off >= OTHER_CENTS && off <= FURTHEST_CENTS;
      if (isOther && held > 0 && Cents.apartInOctave(hz, likeliest(last)) <= REACH_CENTS) {
        held++;
      } else if (held >= MIN_HELD || off < OTHER_CENTS || strays > MAX_STRAYS) {
        break;
      } else {
        strays++;
        first = i;
        held = isOther ? 1 : 0;
      }
      last = i;
    }
    return held < MIN_HELD ? 0 : centres[last] - centres[first];
  }

  /**
   * Frames from a sound's onset until it first holds its own pitch, in whatever octave it is heard:
   * 0 where it does from the beginning.
   *
   * @param hertz its own pitch
   * @param onset frame at which it sets in: what is heard before is the room
   */
  public long lateStart(double hertz, long onset) {
    for (int i = 0; i + MIN_HELD <= size; i++) {
      int own = 0;
      for (int k = i; k < Math.min(size, i + MIN_HELD); k++) {
        double hz = likeliest(k);
        own += hz > 0 && Cents.apartInOctave(hz, hertz) < OTHER_CENTS ? 1 : 0;
      }
      if (own == MIN_HELD) {
        return Math.max(0, centres[i] - Math.max(centres[0], onset));
      }
    }
    return 0;
  }

  /**
   * The pitch that the last windows before a frame hold, in hertz; 0 where they do not agree.
   *
   * @param end frame before which their middles lie
   */
  public double heldBefore(long end) {
    double held = 0;
    int windows = 0;
    for (int i = size - 1; i >= 0 && windows < MIN_HELD; i--) {
      if (centres[i] < end) {
        double hz = likeliest(i);
        held = windows == 0 ? hz : held;
        if (hz <= 0 || Cents.apart(hz, held) > HELD_CENTS) {
          return 0;
        }
        windows++;
      }
    }
    return windows < MIN_HELD ? 0 : held;
  }

  /** Whether a pitch is that of a bar: in most windows that have it, others are not harmonic. */
  boolean isBar(double hz) {
    int named = 0;
    int all = 0;
    for (int i = 0; i < size; i++) {
      named += bars[i] > 0 && Cents.apart(bars[i], hz) <= REACH_CENTS ? 1 : 0;
      all += support(i, hz, REACH_CENTS) > 0.5 ? 1 : 0;
    }
    return 2 * named > all;
  }

  /** Likeliest pitch of a window, in hertz; 0 where it has none. */
  private double likeliest(int window) {
    int best = window * KEPT;
    for (int k = best + 1; k < (window + 1) * KEPT; k++) {
      best = weights[k] > weights[best] ? k : best;
    }
    return weights[best] > 0 ? frequencies[best] : 0;
  }

  /** The pitch the first voiced windows agree on, up to a share of all of them. */
  private double first(double share, double[] say) {
    PitchVotes votes = new PitchVotes();
    int wanted = Math.max(2, (int) Math.ceil(share * size));
    int used = 0;
    for (int i = 0; i < size && used < wanted; i++) {
      if (say[i] > 0 && vote(i, votes, 1) > 0.5) {
        used++;
      }
    }
    return used == 0 ? 0 : votes.strongest();
  }

  /** Adds a window's candidates to the histogram; answers the sum of their probabilities. */
  private double vote(int window, PitchVotes votes, double level) {
    double sum = 0;
    for (int k = window * KEPT; k < (window + 1) * KEPT; k++) {
      boolean counts = weights[k] > 0 && votes.add(frequencies[k], level * weights[k]);
      sum += counts ? weights[k] : 0;
    }
    return sum;
  }

  /** Probability of a window's candidates within some cents of a frequency. */
  private double support(int window, double frequency, int cents) {
    double sum = 0;
    for (int k = window * KEPT; k < (window + 1) * KEPT; k++) {
      if (weights[k] > 0 && Cents.apart(frequencies[k], frequency) <= cents) {
        sum += weights[k];
      }
    }
    return sum;
  }
}
