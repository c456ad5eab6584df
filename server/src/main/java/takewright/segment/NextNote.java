package takewright.segment;

import takewright.dsp.Decibels;
import takewright.segment.onset.SpectralFlux;
import takewright.segment.onset.StrokeEdge;
import takewright.segment.room.Columns;
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

  /** What lies this far below the most, in dB, no longer counts: a short note is over. */
  private static final double FAINT_DB = 25;

  /** A sound that fell by this much, in dB, and did not end the region made a short pause. */
  private static final double PAUSE_DB = 30;

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
   * What is blown may begin with a burst that falls before the tone comes up, within this, in
   * seconds (low organ pipes, from memory). Six notes of 36 takes were cut in two there, where the
   * tone rose by 8 and 9 dB.
   */
  private static final double SPEAKS_S = 0.3;

  /**
   * A stroke rises by more than this from one column to the next, in dB: by 3.1 and more where
   * others ring, while the tone of a reed that sags comes up by 2.2 at most.
   */
  private static final double SUDDEN_DB = 2.7;

  /**
   * A stroke is plain where all bands rise by this much, in dB, and the whole by that: strings
   * struck while others ring rise by 10 to 19 and by 8 or more, a held note that swells again by 10
   * and by 5.
   */
  private static final double PLAINLY_RISES_DB = 9;

  private static final double PLAINLY_STRUCK_DB = 7;

  /** And where what was there before is no room, as a power ratio (15 dB): a voice has pauses. */
  private static final double RINGS = 30;

  /**
   * Another note under a ring: what is left without the partials of what rings rises by 16 to 48 dB
   * where it begins, and by up to 40 with a word, whose pitch does not hold.
   */
  private static final double BESIDE_RISES_DB = 15;

  /** Where it begins all bands rise by this much, in dB: they do by 8 to 17. */
  private static final double BESIDE_ALL_RISE_DB = 6;

  /**
   * What is struck stays within 10 cents for {@link HeldPitch}'s while, or while it rings; of 24
   * syllables that rise as plainly none stays within this, in cents.
   */
  private static final double STILL_CENTS = 20;

  /** What lies this far below the stroke, in dB, no longer rings. */
  private static final double STILL_DB = 20;

  /**
   * And dies by more than this, in dB, in {@link HeldPitch#NOTE_S}: low strings do by 3, and what
   * is bowed or blown, into which a word may lead, hardly does.
   */
  private static final double DIES_DB = 1.5;

  /** A note is no softer than this under the one before, in dB: what is may be a flutter. */
  private static final double SOFTEST_DB = 26;

  /** Columns after a stroke in which it must still be louder than what was before (0.1 s). */
  private static final int OUTLASTS_FROM = 2;

  private static final int OUTLASTS_TO = 5;

  /** And no faster than this at all, in seconds. */
  static final double LEAST_S = 0.15;

  /** A note is louder than a noise before it by this much, as a power ratio: 16 dB. */
  private static final double LOUDER = 40;

  /**
   * Mean difference of the bands of two equal strokes, in dB, but for how loud they are: of ten
   * that the level did not show it came to 0.8 to 2.1, of 270 other rises as plain to 3.2 and more.
   */
  private static final double SAME_DB = 2.6;

  /**
   * Where an edge shows a stroke as well and its pitch goes on: of three strokes it came to 1.3 to
   * 2.9, of 33 knocks and words over a note to 5.0 and more.
   */
  private static final double ALIKE_DB = 3.8;

  /** Such an edge is this high, as a power ratio (10 dB). */
  private static final double AGAIN = 10;

  /**
   * Behind a word a stroke has an edge as high as this, as a power ratio (25 dB), whatever the word
   * hides of its pitch: 51 of 71 have, and two of 334 other rises (63 takes, 2026-11-30). With an
   * edge from {@link #AGAIN} up to this, 12 of 13 strokes and one of 209 other rises stay within
   * {@link #STILL_CENTS}.
   */
  private static final double BEHIND_WORDS = 316;

  private final Columns columns;
  private final int hop;
  private final int sampleRate;
  private final HeldPitch pitch;
  private final SpectralFlux flux;

  NextNote(Columns columns, HeldPitch pitch) {
    this.columns = columns;
    this.pitch = pitch;
    flux = new SpectralFlux(columns);
    hop = columns.hop();
    sampleRate = columns.sampleRate();
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
    double here = flux.at(column, room);
    if (here < RISE_DB || !flux.isPeak(column, room)) {
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
    double before =
        died ? 0 : pitch.before(column, (column - since) * hop, isAfterPause ? HeldPitch.TRIES : 1);
    if (!died && before <= 0) {
      return false;
    }
    double now = pitch.after(column);
    return now > 0
        && (died || HeldPitch.isAnother(before, now) && outlasts(column))
        && pitch.goesOn(column, now, most, FAINT_DB, HeldPitch.APART_CENTS)
        && !beginsLater(column, here, room);
  }

  /**
   * Whether a note is struck or plucked at a column: the same as the open one, or of a sound that
   * has only died away so far, or behind a word.
   *
   * @param open the sound so far
   * @param facts tell whether that is a note
   * @param room the room around the column
   */
  boolean isStruckAgain(long column, OpenRegion open, RegionFacts facts, Room room) {
    if ((column - open.firstColumn) * hop < LEAST_S * sampleRate
        || column + OUTLASTS_TO >= columns.end()) {
      return false;
    }
    double here = flux.at(column, room);
    if (here < RISE_DB || !flux.isPeak(column, room)) {
      return false;
    }
    double rises = decibels(greatest(column, column + 3), least(column - 4, column - 1));
    long before = column - 2;
    boolean isPlain = here > PLAINLY_RISES_DB && rises > PLAINLY_STRUCK_DB;
    if (here > BESIDE_ALL_RISE_DB
        && isSameStroke(column, here, open.attack.apartDb(column, room))) {
      return true;
    }
    boolean isRungInto = columns.power(before) > RINGS * room.total();
    boolean isRinging =
        isRungInto && (open.ringsOut(before, room.total()) || facts.isLikeOurs(open, column));
    if (here > BESIDE_ALL_RISE_DB && isRinging && isAnotherBeside(column, open)) {
      return true;
    }
    if (rises <= STRUCK_DB || !isLoudEnough(column, open.mostPower())) {
      return false;
    }
    // Whatever its pitch: the pause before it was too short to end the region.
    if (rises > PAUSE_DB && StrokeEdge.isAround(column, columns, AGAIN) && goesOn(column)) {
      return true;
    }
    if (outlasts(column)
        && (open.hasOnlyFallen(before, room.total()) && !isSwell(column, open, facts)
            || isPlain && isRungInto && open.ringsOut(before, room.total())
            || isPlain && dies(column) && staysStill(column) && !facts.isLikeOurs(open, column)
            || isAfterPause(column, open)
                && holdsLong(column)
                && !facts.isLikeOurs(open, column))) {
      return true;
    }
    return here > BESIDE_ALL_RISE_DB
        && rises > PLAINLY_STRUCK_DB
        && !facts.isLikeOurs(open, column)
        && isStruckBehindWord(column);
  }

  /**
   * Whether a note only swells at a column: its tone comes up behind the burst of its attack, or
   * slowly.
   */
  private boolean isSwell(long column, OpenRegion open, RegionFacts facts) {
    boolean isBurst = (column - open.firstColumn) * hop < SPEAKS_S * sampleRate;
    return (isBurst || jump(column) < SUDDEN_DB)
        && !open.isRungInto
        && facts.isLikeOurs(open, column);
  }

  /** Whether an edge shows a stroke behind a word: a low one only where its pitch stays still. */
  private boolean isStruckBehindWord(long column) {
    return StrokeEdge.isAround(column, columns, AGAIN)
        && (staysStill(column) || StrokeEdge.isAround(column, columns, BEHIND_WORDS));
  }

  /**
   * Whether what rises at a column is the stroke by which the open sound began, once more.
   *
   * @param here by how much its bands rise, in dB
   * @param apartDb how far they lie apart from those of the first stroke, in dB
   */
  private boolean isSameStroke(long column, double here, double apartDb) {
    return here > PLAINLY_RISES_DB && apartDb < SAME_DB
        || apartDb < ALIKE_DB && StrokeEdge.isAround(column, columns, AGAIN) && goesOn(column);
  }

  /** Whether a note of another pitch begins at a column under what rings, which may be louder. */
  private boolean isAnotherBeside(long column, OpenRegion open) {
    if (!pitch.isHeardBehind(column, columns.frames())) {
      return false;
    }
    double ringing = pitch.before(column, open.firstColumn * hop, 1);
    if (ringing <= 0) {
      return false;
    }
    double beside = pitch.beside(column, ringing, BESIDE_RISES_DB, STILL_DB);
    return beside > 0 && HeldPitch.isAnother(ringing, beside);
  }

  /** Whether what was open had sunk far for a while before a column. */
  private boolean isAfterPause(long column, OpenRegion open) {
    double before = greatest(column - columns.columnsOf(PAUSE_S), column - 2);
    return decibels(open.mostPower(), before) > PAUSED_DB;
  }

  /** Whether what begins at a column holds its pitch for longer than any vowel. */
  private boolean holdsLong(long column) {
    double now = pitch.after(column);
    return now > 0 && pitch.isHeld(column, now);
  }

  /**
   * Whether what opened the region was no note, like a thud of the room, and one begins only now,
   * louder by far. What lies before is then no part of it.
   */
  boolean beginsOnlyNow(long column, OpenRegion open, RegionFacts facts, Room room) {
    return column - open.firstColumn > columns.columnsOf(RegionStart.BEFORE_S)
        && open.powerBeforeAttack() > 0
        && columns.power(column) > LOUDER * Math.max(open.powerBeforeAttack(), room.total())
        && !facts.isLikeOurs(open, column);
  }

  /**
   * Whether what begins at a column holds its pitch as a string or a bar does, and no syllable:
   * behind a word that may be all that tells, since a word hides how what rings falls.
   */
  private boolean staysStill(long column) {
    return pitch.goesOn(column, greatest(column, column + 3), STILL_DB, STILL_CENTS);
  }

  /**
   * Whether what begins at a column is at its loudest there, and dies away while its pitch holds.
   */
  private boolean dies(long column) {
    long later = column + columns.columnsOf(HeldPitch.NOTE_S);
    return decibels(greatest(column, column + 3), greatest(later - 2, later)) > DIES_DB;
  }

  /**
   * Whether what begins at a column holds a pitch for as long as a note does, or while it lasts.
   */
  private boolean goesOn(long column) {
    return pitch.goesOn(column, greatest(column, column + 3), FAINT_DB, HeldPitch.APART_CENTS);
  }

  private boolean isLoudEnough(long column, double most) {
    return decibels(most, greatest(column, column + 3)) < SOFTEST_DB;
  }

  /** Whether what begins at a column goes on louder than what was there before, unlike a knock. */
  private boolean outlasts(long column) {
    return least(column + OUTLASTS_FROM, column + OUTLASTS_TO) > columns.power(column - 2);
  }

  /**
   * Whether the note that holds behind a column begins by a later attack, which is far stronger:
   * what rises here is something of the room.
   */
  private boolean beginsLater(long column, double here, Room room) {
    double max = greatest(column, column + 2);
    long last = Math.min(columns.end() - 3, column + HeldPitch.TRIES * pitch.span() / hop);
    for (long k = column + 3; k <= last; k++) {
      if (decibels(greatest(k, k + 2), max) > LATER_DB && flux.measured(k, room) > here) {
        return true;
      }
      max = Math.max(max, columns.power(k));
    }
    return false;
  }

  /** How far the level rises from one column to the next around one, in dB. */
  private double jump(long column) {
    double most = 0;
    for (long k = column - 2; k <= column + 3; k++) {
      most = Math.max(most, decibels(columns.power(k), columns.power(k - 1)));
    }
    return most;
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
