package takewright.segment;

import takewright.dsp.Cents;
import takewright.dsp.Decibels;
import takewright.pitch.PitchDetector;
import takewright.segment.room.Columns;
import takewright.segment.room.FloatHistory;
import takewright.segment.room.Room;

/**
 * Tells where, in a sound that has not ended, the next note begins: the one before rings into it,
 * or the pause between them is too short to end a region.
 *
 * <p>A new note shows by a rise in many bands at once (spectral flux, as in the onset detection
 * surveyed by Bello et al., 2005) and by one of two things: a pitch that held before and another
 * that holds after, or a sound that had died away and comes back all at once. A bow or breath
 * change has neither: its pitch goes on, and it dips only for a moment. Nor has a tremolo, a trill
 * or a voice, whose pitch does not hold that long.
 */
final class NextNote {
  /** Mean rise of the bands in which something sounds that makes a new attack possible, in dB. */
  private static final double RISE_DB = 3;

  /** Most of a band's rise that counts, in dB, so that no single band decides. */
  private static final double MOST_DB = 20;

  /** A band sounds where it lies this far above the room, as a power ratio (6 dB). */
  private static final double SOUNDS = 4;

  /** Two notes are this far apart at least, in cents; a vibrato stays within. */
  private static final double APART_CENTS = 70;

  /**
   * A pitch holds where this many windows agree to within this many cents; a voice's hardly ever
   * do.
   */
  private static final int HOLDING = 3;

  private static final double HOLDS_CENTS = 35;

  /** Share of the windows within {@link #NOTE_S} of an attack that a note's pitch goes on in. */
  private static final double MOSTLY = 0.7;

  /** Longer than a syllable, in seconds. */
  private static final double NOTE_S = 0.4;

  /** What lies this far below the most, in dB, no longer counts: a short note is over. */
  private static final double FAINT_DB = 25;

  /** A sound that fell by this much, in dB, and did not end the region made a short pause. */
  private static final double PAUSE_DB = 30;

  /**
   * Times a held pitch is looked for after an attack, and before one across a short pause, each by
   * these windows further away.
   */
  private static final int TRIES = 5;

  /** From one of these windows to the next, in seconds. */
  private static final double STEP_S = 0.03;

  /** Above this aperiodicity a window has no pitch, as in {@code PitchTrack}. */
  private static final double MOST_APERIODIC = 0.33;

  /** How far the total rises where the pitch is the same, or none, in dB. */
  private static final double AGAIN_DB = 15;

  /** And how far it must have died away a while before, under the most since the attack, in dB. */
  private static final double DIED_DB = 10;

  /** That while before, in seconds: longer than a bow change or a tremolo's stroke takes. */
  private static final double WHILE_S = 0.25;

  /**
   * Notes follow each other no faster than this where nothing but their level tells, in seconds.
   */
  private static final double AGAIN_S = 0.4;

  /** A rise by this much, in dB, after a pause is a note whatever it is like. */
  private static final double AFTER_PAUSE_DB = 18;

  /** Such a pause lasts at least this long, in seconds: longer than between a tremolo's strokes. */
  private static final double PAUSE_S = 0.12;

  /** And lies this far below the most since the attack, in dB. */
  private static final double PAUSED_DB = 20;

  /** An attack is stronger than something of the room before it by this much, in dB. */
  private static final double LATER_DB = 10;

  /** A rise by this much, in dB, is a new stroke where the sound had only been dying away. */
  private static final double STRUCK_DB = 4;

  /**
   * A stroke is plain where all bands rise by this much, in dB, and the whole by that: strings
   * struck while others ring rise by 10 to 19 and by 8 or more, a held note that swells again by 10
   * and by 5.
   */
  private static final double PLAINLY_RISES_DB = 9;

  private static final double PLAINLY_STRUCK_DB = 7;

  /** And where what was there before is no room, as a power ratio (15 dB): a voice has pauses. */
  private static final double RINGS = 30;

  /** A note is no softer than this under the one before, in dB: what is may be a flutter. */
  private static final double SOFTEST_DB = 26;

  /** Columns after a stroke in which it must still be louder than what was before (0.1 s). */
  private static final int OUTLASTS_FROM = 2;

  private static final int OUTLASTS_TO = 5;

  /** And no faster than this at all, in seconds. */
  static final double LEAST_S = 0.15;

  private final Columns columns;
  private final FloatHistory audio;
  private final int hop;
  private final int sampleRate;
  private final PitchDetector detector;
  private final float[] window;
  private final double[] probabilities = new double[64];

  NextNote(Columns columns, PitchDetector detector) {
    this.columns = columns;
    this.detector = detector;
    audio = columns.audio();
    hop = columns.hop();
    sampleRate = columns.sampleRate();
    window = new float[detector.window()];
  }

  /**
   * Whether a note begins at a column.
   *
   * @param since columns since the open region's own attack
   * @param most power of the strongest column since then
   * @param room the room around the column
   * @param isPitched whether a change of pitch may tell it
   */
  boolean begins(long column, long since, double most, Room room, boolean isPitched) {
    if (since * hop < LEAST_S * sampleRate || column + 4 >= columns.end()) {
      return false;
    }
    double here = flux(column, room);
    if (here < RISE_DB || flux(column - 1, room) > here || flux(column + 1, room) >= here) {
      return false;
    }
    long reach = isPitched ? 3 : 1;
    double rises =
        decibels(greatest(column, column + reach), least(column - 1 - reach, column - 1));
    boolean died =
        since * hop > AGAIN_S * sampleRate
            && rises > AGAIN_DB
            && decibels(most, greatest(column - columns.columnsOf(WHILE_S), column - 2)) > DIED_DB;
    if (!isPitched) {
      return died;
    }
    if (rises > AFTER_PAUSE_DB
        && isLoudEnough(column, most)
        && decibels(most, greatest(column - columns.columnsOf(PAUSE_S), column - 2)) > PAUSED_DB) {
      return true;
    }
    boolean isAfterPause = decibels(most, least(column - 4, column - 1)) > PAUSE_DB;
    double before = died ? 0 : before(column, (column - since) * hop, isAfterPause ? TRIES : 1);
    if (!died && before <= 0) {
      return false;
    }
    double now = after(column);
    return now > 0
        && (died || isAnother(before, now))
        && goesOn(column, now, most)
        && !beginsLater(column, here, room);
  }

  /**
   * Whether a sound that has only died away so far is struck or plucked again at a column.
   *
   * @param open the sound so far
   * @param room the room around the column
   */
  boolean isStruckAgain(long column, OpenRegion open, Room room) {
    if ((column - open.firstColumn) * hop < LEAST_S * sampleRate
        || column + OUTLASTS_TO >= columns.end()) {
      return false;
    }
    double here = flux(column, room);
    if (here < RISE_DB || flux(column - 1, room) > here || flux(column + 1, room) >= here) {
      return false;
    }
    double rises = decibels(greatest(column, column + 3), least(column - 4, column - 1));
    long before = column - 2;
    boolean isPlain =
        here > PLAINLY_RISES_DB
            && rises > PLAINLY_STRUCK_DB
            && columns.power(before) > RINGS * room.total();
    return rises > STRUCK_DB
        && isLoudEnough(column, open.mostPower())
        && outlasts(column)
        && (open.hasOnlyFallen(before, room.total())
            || isPlain && open.ringsOut(before, room.total()));
  }

  private boolean isLoudEnough(long column, double most) {
    return decibels(most, greatest(column, column + 3)) < SOFTEST_DB;
  }

  /** Whether what begins at a column goes on louder than what was there before, unlike a knock. */
  private boolean outlasts(long column) {
    return least(column + OUTLASTS_FROM, column + OUTLASTS_TO) > columns.power(column - 2);
  }

  /** Mean rise in dB, from the columns before to those after, of all bands that sound. */
  private double flux(long column, Room room) {
    double sum = 0;
    int sounding = 0;
    for (int b = 0; b < columns.bandCount(); b++) {
      double before = columns.band(b, column - 3) + columns.band(b, column - 2);
      double after = columns.band(b, column) + columns.band(b, column + 1);
      double floor = 2 * Math.max(SOUNDS * room.power(b), room.stay(b));
      if (before > floor || after > floor) {
        sounding++;
        double rise = decibels(Math.max(after, floor), Math.max(before, floor));
        sum += Math.max(0, Math.min(MOST_DB, rise));
      }
    }
    return sounding == 0 ? 0 : sum / sounding;
  }

  /** The pitch that holds after a column, in hertz; 0 for none: an attack may take a while. */
  private double after(long column) {
    long first = column * hop + window.length / 2 + hop;
    double held = 0;
    for (int k = 0; k < TRIES && held <= 0; k++) {
      held = held(first + k * span());
    }
    return held;
  }

  /**
   * Whether a pitch goes on for as long as a note does: a syllable's, which may hold for a moment,
   * has gone elsewhere by then.
   */
  private boolean goesOn(long column, double hertz, double most) {
    long first = column * hop + window.length / 2 + hop;
    int heard = 0;
    int same = 0;
    for (int k = 0; k * STEP_S < NOTE_S; k++) {
      double pitch = pitch(first + k * (long) (STEP_S * sampleRate));
      if (decibels(most, detector.rms() * detector.rms()) < FAINT_DB) {
        heard++;
        same +=
            pitch > 0 && (apart(pitch, hertz) <= APART_CENTS || isRelated(pitch, hertz)) ? 1 : 0;
      }
    }
    return heard >= HOLDING && same >= MOSTLY * heard;
  }

  /**
   * The pitch that holds before a column, in hertz; 0 for none.
   *
   * @param from frame from which on that note is heard
   * @param tries how far back it is looked for
   */
  private double before(long column, long from, int tries) {
    long first = column * hop - window.length / 2 - hop - span();
    double before = 0;
    for (int k = 0; k < tries && before <= 0; k++) {
      long at = first - k * span();
      before = at - window.length / 2 < from ? 0 : held(at);
    }
    return before;
  }

  /**
   * Whether the note that holds behind a column begins by a later attack, which is far stronger:
   * what rises here is something of the room.
   */
  private boolean beginsLater(long column, double flux, Room room) {
    double max = greatest(column, column + 2);
    long last = Math.min(columns.end() - 3, column + TRIES * span() / hop);
    for (long k = column + 3; k <= last; k++) {
      if (decibels(greatest(k, k + 2), max) > LATER_DB && flux(k, room) > flux) {
        return true;
      }
      max = Math.max(max, columns.power(k));
    }
    return false;
  }

  private static boolean isAnother(double before, double now) {
    return apart(before, now) > APART_CENTS && !isRelated(before, now);
  }

  /** Frames from the first to the last window that a held pitch is looked for in. */
  private long span() {
    return (HOLDING - 1) * (long) (STEP_S * sampleRate);
  }

  /** Whether one is a low harmonic of the other: rather the same note misheard in its attack. */
  private static boolean isRelated(double a, double b) {
    double ratio = Math.max(a, b) / Math.min(a, b);
    long whole = Math.round(ratio);
    return whole >= 2 && whole <= 4 && apart(ratio, whole) <= APART_CENTS;
  }

  /** The pitch that windows from one around a frame on agree on, in hertz; 0 if they do not. */
  private double held(long first) {
    double one = pitch(first);
    for (int k = 1; k < HOLDING && one > 0; k++) {
      double other = pitch(first + k * (long) (STEP_S * sampleRate));
      one = other > 0 && apart(one, other) <= HOLDS_CENTS ? one : 0;
    }
    return one;
  }

  /** The likeliest pitch of the window around a frame, in hertz; 0 for none. */
  private double pitch(long centre) {
    audio.copy(centre - window.length / 2, window, window.length);
    int candidates = detector.find(window, 0);
    if (candidates == 0 || detector.deepest() > MOST_APERIODIC) {
      return 0;
    }
    detector.probabilities(probabilities);
    int best = 0;
    for (int c = 1; c < candidates; c++) {
      best = probabilities[c] > probabilities[best] ? c : best;
    }
    return detector.frequency(best);
  }

  private static double apart(double a, double b) {
    return Cents.apart(a, b);
  }

  private double least(long from, long to) {
    double least = Double.POSITIVE_INFINITY;
    for (long k = Math.max(0, from); k <= to; k++) {
      least = Math.min(least, columns.power(k));
    }
    return least;
  }

  private double greatest(long from, long to) {
    double most = 0;
    for (long k = from; k <= Math.min(columns.end() - 1, to); k++) {
      most = Math.max(most, columns.power(k));
    }
    return most;
  }

  private static double decibels(double power, double reference) {
    return Decibels.fromPower((power + 1e-14) / (reference + 1e-14));
  }
}
