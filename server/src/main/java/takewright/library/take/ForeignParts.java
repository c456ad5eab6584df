package takewright.library.take;

import java.util.Arrays;
import java.util.Collections;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Set;
import java.util.function.ToDoubleFunction;
import takewright.diagnosis.Flag;
import takewright.library.match.Interruptions;
import takewright.segment.Blemishes;
import takewright.segment.Region;

/**
 * Notes of which a part is something else: a word before or behind them, or more beside them than
 * beside the notes around them. Each was the only attempt at its note, so that no other says what
 * is usual.
 *
 * <p>Of 2,276 clean notes (recorded notes in recorded rooms, 127 takes) 45 are said to be
 * disturbed, 26 of them without {@link AperiodicParts}; of attempts talked over 42 of 59 (34), of
 * knocks 46 of 61 (37), of scratches 42 of 55 (40).
 */
final class ForeignParts {
  /**
   * A note that reaches its own pitch so late has a word before it, in seconds: 999 of 1,000 clean
   * ones do within 0.37.
   */
  private static final double LATE_S = 0.45;

  /**
   * Or where that is more than this share of the time for which it is heard: of 19 notes of less
   * than a second of which more than 0.12 was, up to 0.28 of each was in the clean ones, and more
   * than 0.33 in those begun on another note (72 takes, 2026-11-30).
   */
  private static final double LATE_SHARE = 0.33;

  /** Less than this is three windows, in seconds: an attack may have no pitch for as long. */
  private static final double MIN_LATE_S = 0.12;

  /**
   * Periods that a low string takes to come to its pitch: double basses and tubas of 0.5 s took 8
   * to 16.
   */
  private static final double SETTLES = 16;

  /** Behind a note a word rises by so much, in dB times seconds: clean ones came to 1.83. */
  static final double BEHIND_DB_S = 2;

  /** Notes nearest in pitch that one is compared with, and the fewest of them. */
  private static final int NEIGHBOURS = 6;

  private static final int MIN_NEIGHBOURS = 4;

  /** What is heard beside it is at its most so much, in dB, */
  static final double MOST_DB = 14;

  /** so much in all, in dB times seconds, */
  static final double ALL_DB_S = 0.8;

  /** and this multiple of what all but one of its neighbours have. */
  private static final double TIMES = 2.5;

  /** Where another time the same note has this share of something, that is the note's own. */
  private static final double MOST = 0.7;

  private ForeignParts() {}

  /**
   * The regions of such notes; they are told apart by identity.
   *
   * @param regions all of the take
   * @param kept those that are samples
   * @param sampleRate of the take, in hertz
   */
  static Set<Region> of(List<Region> regions, List<KeptRegion> kept, int sampleRate) {
    Set<Region> runInto = Collections.newSetFromMap(new IdentityHashMap<>());
    for (int i = 0; i + 1 < regions.size(); i++) {
      Region note = regions.get(i);
      if (isRunInto(note, regions.get(i + 1), sampleRate)
          && !Interruptions.hasRungOut(note, regions)) {
        runInto.add(note);
      }
    }
    List<KeptRegion> notes =
        kept.stream()
            .filter(one -> one.region().pitch() != null && one.cell().midi() != null)
            .toList();
    Set<Region> found = AperiodicParts.of(kept);
    for (KeptRegion note : notes) {
      Blemishes blemishes = note.region().blemishes();
      boolean isForeign =
          isLate(note, notes, sampleRate)
              || rises(note) >= BEHIND_DB_S && !isShared(note, notes, ForeignParts::rises)
              || runInto.contains(note.region())
              || isUnlikeNeighbours(note, notes);
      // Whoever has set its bounds has decided what is in it.
      if (isForeign && !note.correction().movesBounds()) {
        found.add(note.region());
      }
    }
    return found;
  }

  private static double rises(KeptRegion note) {
    return note.region().blemishes().ending().risesDbS();
  }

  /** Whether a note has most of something each time it is played. */
  private static boolean isShared(
      KeptRegion note, List<KeptRegion> others, ToDoubleFunction<KeptRegion> of) {
    return note.isSharedByNote(
        others, other -> of.applyAsDouble(other) >= MOST * of.applyAsDouble(note));
  }

  /**
   * Whether something else is heard first in a note, and not each time when it is played; one begun
   * on the wrong note has its flag.
   *
   * @param others other notes of its take
   */
  static boolean isLate(KeptRegion note, List<KeptRegion> others, int sampleRate) {
    return isLate(note.region(), sampleRate)
        && !isShared(note, others, one -> one.region().blemishes().beginning().lateS());
  }

  /** Whether something else is heard first in a note; one begun on the wrong note has its flag. */
  static boolean isLate(Region note, int sampleRate) {
    return lateness(note, sampleRate) >= 1 && !note.flags().contains(Flag.WRONG_START);
  }

  /** How late a note reaches its own pitch: 1 where something else must be before it. */
  static double lateness(Region note, double sampleRate) {
    double heardS = note.heardFrames() / sampleRate;
    double least = Math.max(MIN_LATE_S, SETTLES / note.pitch().frequencyHz());
    double limitS = Math.min(LATE_S, Math.max(least, LATE_SHARE * heardS));
    return note.blemishes().beginning().lateS() / limitS;
  }

  /** Whether a word or a knock sets in before a sound has ended: it begins softly, in the tail. */
  static boolean isRunInto(Region sound, Region next, double sampleRate) {
    return next.rejected()
        && (next.flags().contains(Flag.TALK) || next.flags().contains(Flag.KNOCK))
        && next.start() <= sound.end()
        && !Interruptions.isOverBefore(sound, next, sampleRate);
  }

  /**
   * Of a low note's partials nothing lies between, so that it swells by itself: of 157 clean ones
   * (of a double bass in 12 takes) five would be found, and of 26 flawed ones one that nothing else
   * tells (2026-11-29).
   */
  private static boolean isUnlikeNeighbours(KeptRegion note, List<KeptRegion> notes) {
    Blemishes blemishes = note.region().blemishes();
    boolean isLow = AperiodicParts.isLow(note);
    if (isLow || blemishes.beside().mostDb() < MOST_DB || blemishes.beside().dbS() < ALL_DB_S) {
      return false;
    }
    double[] near =
        note.nearest(notes, NEIGHBOURS).stream()
            .mapToDouble(other -> other.region().blemishes().beside().dbS())
            .toArray();
    Arrays.sort(near);
    return near.length >= MIN_NEIGHBOURS
        && !isShared(note, notes, one -> one.region().blemishes().beside().dbS())
        && blemishes.beside().dbS() >= TIMES * near[near.length - 2];
  }
}
