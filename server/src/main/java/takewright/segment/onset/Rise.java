package takewright.segment.onset;

import takewright.dsp.Decibels;
import takewright.dsp.Selection;

/** The power of filtered samples over time as a sound sets in, and the room's share in it. */
final class Rise {
  /**
   * One way to look at a rise.
   *
   * @param filterS half length of the filter, in seconds: it may smear an attack by as much
   * @param meanS length of the sliding mean of the power, in seconds
   * @param rise of that mean over the room that shows a sound, as a power ratio
   */
  record View(double filterS, double meanS, double rise) {
    /** By how many samples what it shows may be wrong, even where nothing is hidden. */
    double blur(int sampleRate) {
      return BLUR * (filterS + meanS / 2) * sampleRate;
    }

    /** Room tone that is needed to learn the filter and the room's power from, in samples. */
    int minQuiet(int sampleRate) {
      return (int) (4 * Math.max(meanS, filterS) * sampleRate);
    }
  }

  /** How far above its first sign the rise is read, in dB: enough to tell it from a flutter. */
  private static final double READ_DB = 20;

  /** The rise is also read up to here alone, in dB: it may be a jump that the room half hides. */
  private static final double FIRST_DB = 10;

  /**
   * Dips shorter than a period do not end the way back, nor, where there is no pitch, those shorter
   * than this, in seconds: half a period of low notes. A longer bridge leads over the dip between
   * what the room does and a note soon after it.
   */
  static final double BRIDGE_S = 0.012;

  /**
   * A sound springs up where it rises by this much, as a power ratio (26 dB), within so long, in
   * seconds, over what lies so far before it at most: a mallet's or a finger's stroke.
   */
  private static final double SPRINGS = 400;

  private static final double SPRING_S = 0.003;
  private static final double SPRING_BEFORE_S = 0.03;

  /**
   * The room before it reaches this share of that by itself, as a power ratio, if it is the room.
   */
  private static final double LIKE_ROOM = 0.5;

  /** So far below its most, as a power ratio, a sound is followed down step by step: 20 dB. */
  private static final double FOLLOWED = 0.01;

  /** Such a step, as a power ratio: 3 dB. */
  private static final double STEP = 2;

  /**
   * A sound has fallen by this much, as a power ratio, before it rises again: 9 dB. The noise of a
   * reed or a string before its note fell by up to 8 dB.
   */
  private static final double FALLEN = 8;

  /**
   * The sound must lie above the crest of this share of all stretches of the room that are as long
   * as the dips which are bridged: else the way back would lead on from crest to crest, through a
   * room that rumbles or thuds by itself.
   */
  private static final double CRESTS_BELOW = 0.9;

  /** Fewer stretches say nothing of what a room does in most of them. */
  private static final int MIN_STRETCHES = 5;

  /**
   * What is hidden is drawn on as a rise with this power of time, from nothing: an attack about as
   * the first, a swell as the second (amplitudes; from takes).
   */
  private static final double ATTACK_POWER = 1;

  private static final double SWELL_POWER = 2;

  /** A rise over {@link #READ_DB} that takes longer than this, in seconds, is a swell. */
  private static final double SWELL_S = 0.25;

  /** A rise is drawn on by this much more, in dB, since cutting late harms and early does not. */
  private static final double SAFETY_DB = 2;

  /** The same for a swell, which may rather begin too early, in dB. */
  private static final double SWELL_SAFETY_DB = 4;

  /** Share of what is drawn on that may be wrong: with the next, what a view weighs by. */
  private static final double DOUBT = 0.5;

  /** Share of a view's length by which what it shows may be wrong. */
  private static final double BLUR = 0.5;

  /** Of a sliding mean this many values a length say all that it has to say. */
  private static final int MEDIAN_OF = 16;

  /** A rise is drawn on by no more than this, in seconds. */
  private static final double MAX_DRAWN_S = 0.15;

  private final double[] power;

  /** Its most from the anchor on. */
  private final double max;

  private final double room;

  /** The most that the room before reaches. */
  private final double roomMax;

  private double limit;
  private final double seen;
  private final int anchor;
  private final int sampleRate;
  private final View view;

  private final int sign;

  private int onset;

  /**
   * @param heard the filtered samples
   * @param power room for their power, one value a sample
   * @param highest mean square that the room reaches in them by itself once in ten minutes
   * @param hertz pitch of the sound; 0 where it has none
   */
  Rise(
      float[] heard,
      double[] power,
      int quiet,
      int anchor,
      int sampleRate,
      View view,
      double highest,
      double hertz) {
    this.anchor = anchor;
    this.sampleRate = sampleRate;
    this.view = view;
    int mean = Math.max(1, (int) (view.meanS() * sampleRate));
    this.power = power;
    SlidingPower.of(heard, mean, power);
    max = max(power, anchor, power.length);
    int step = Math.max(1, mean / MEDIAN_OF);
    float[] before = everyOther(power, mean, quiet - mean, step);
    int middle = before.length / 2;
    room = Math.max(1e-14, Selection.find(before, before.length, middle));
    roomMax = max(power, mean, quiet - mean);
    double bridge = hertz > 0 ? Math.min(BRIDGE_S, 1 / hertz) : BRIDGE_S;
    int longest = Math.max(1, (int) (Math.max(bridge, view.meanS() / 2) * sampleRate));
    double lowest = Math.max(room * view.rise(), crest(mean, quiet - mean, longest));
    sign = firstSign(longest, lowest, highest);
    seen = limit - room;
  }

  /** The first sample, from the anchor back, at which the sound is seen. */
  int sign() {
    return sign;
  }

  /** Where the sound sets in, as {@link #locate} has found it. */
  int onset() {
    return onset;
  }

  /**
   * Sets the onset, and says by how many samples it may be wrong.
   *
   * @param whole how much stronger the whole sound's peak is than that of these samples, as a power
   */
  double locate(double whole) {
    double target = target(whole);
    double blur = view.blur(sampleRate);
    if (target >= seen) {
      onset = Math.min(anchor, reaches(sign, target));
      return blur;
    }
    boolean isSwell = isSwell();
    double power = isSwell ? SWELL_POWER : ATTACK_POWER;
    double hidden = Decibels.fromPower(seen / target) + (isSwell ? SWELL_SAFETY_DB : SAFETY_DB);
    // What jumps up and then grows slowly has begun where its first rise says.
    double risen = Math.min(risen(read(), power), risen(Math.min(read(), FIRST_DB), power));
    double before = risen * (1 - Math.pow(10, -hidden / (20 * power)));
    before = Math.min(MAX_DRAWN_S * sampleRate, before);
    onset = (int) Math.max(0, sign - before);
    return blur + DOUBT * before;
  }

  /**
   * How far below what can be seen the sound's beginning lies, in dB; 0 where nothing is hidden.
   *
   * @param whole as for {@link #locate}
   */
  double hiddenDb(double whole) {
    return Math.max(0, Decibels.fromPower(seen / target(whole)));
  }

  private double target(double whole) {
    return max * whole * Decibels.toPower(-Onset.BELOW_PEAK_DB);
  }

  /** Every {@code step}th value of a part. */
  private static float[] everyOther(double[] values, int from, int to, int step) {
    float[] some = new float[(to - from + step - 1) / step];
    for (int i = 0; i < some.length; i++) {
      some[i] = (float) values[from + i * step];
    }
    return some;
  }

  /**
   * For how many samples a sound has risen when it is first seen, with its amplitude as a power of
   * time, by how long it takes to rise further.
   */
  private double risen(double db, double power) {
    return took(db) / (Math.pow(10, db / (20 * power)) - 1);
  }

  /** How far the rise is read, in dB. */
  private double read() {
    return Math.min(READ_DB, Decibels.fromPower(max / seen) - 3);
  }

  /** How many samples it takes to rise by so much, in dB. */
  private int took(double db) {
    return reaches(sign, seen * Decibels.toPower(db)) - sign;
  }

  boolean isSwell() {
    return took(read()) > SWELL_S * sampleRate;
  }

  /**
   * The power that the room's own crests stay below in most stretches of a length; 0 where there
   * are too few of them to tell.
   */
  private double crest(int from, int to, int length) {
    return crest(power, from, to, length);
  }

  /** The same of any power. */
  static double crest(double[] power, int from, int to, int length) {
    float[] crests = new float[Math.max(0, to - from) / length];
    for (int i = 0; i < crests.length; i++) {
      crests[i] = (float) max(power, from + i * length, from + (i + 1) * length);
    }
    return crests.length < MIN_STRETCHES
        ? 0
        : Selection.find(crests, crests.length, (int) (CRESTS_BELOW * crests.length));
  }

  private static double max(double[] power, int from, int to) {
    double max = 0;
    for (int i = Math.max(0, from); i < Math.min(power.length, to); i++) {
      if (power[i] > max) {
        max = power[i];
      }
    }
    return max;
  }

  /**
   * From the anchor back, as long as the sound is there with no more than short dips. It is
   * followed down step by step. What had fallen by 9 dB, to a level that the room reaches by
   * itself, before the sound rose again is none of its attack, like a rail joint before a note. Nor
   * is anything before a sound that springs up from the room.
   */
  private int firstSign(int longest, double lowest, double highest) {
    limit = Math.max(lowest, max * FOLLOWED);
    int first = before(anchor, longest);
    int bridge = springsUp(first) ? spring() : longest;
    while (limit > lowest) {
      double higher = limit;
      limit = Math.max(lowest, limit / STEP);
      int further = before(first, bridge);
      double fallen = 0;
      for (int i = further; i < first - bridge; i++) {
        fallen = Math.max(fallen, power[i] / limit);
      }
      if (fallen > FALLEN && limit < highest) {
        limit = higher;
        return first;
      }
      first = further;
    }
    return first;
  }

  /** Whether a sound rises from what the room does by itself to near its most at once. */
  private boolean springsUp(int first) {
    int apart = spring() + (int) ((view.meanS() + view.filterS()) * sampleRate);
    double before = max(power, first - (int) (SPRING_BEFORE_S * sampleRate) - apart, first - apart);
    return max(power, first, first + apart) > SPRINGS * before && before * LIKE_ROOM < roomMax;
  }

  private int spring() {
    return (int) (SPRING_S * sampleRate);
  }

  private int before(int from, int bridge) {
    int first = from;
    for (int i = from; i >= 0 && first - i <= bridge; i--) {
      first = power[i] > limit ? i : first;
    }
    return first;
  }

  /** The first place from one on at which the sound has a power. */
  private int reaches(int from, double target) {
    int at = from;
    while (at < power.length - 1 && power[at] - room < target) {
      at++;
    }
    return at;
  }
}
