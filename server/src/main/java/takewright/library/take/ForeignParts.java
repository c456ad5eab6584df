package takewright.library.take;

import java.util.Arrays;
import java.util.Collections;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Set;
import java.util.function.ToDoubleFunction;
import takewright.diagnosis.Flag;
import takewright.segment.Blemishes;
import takewright.segment.Region;

/**
 * Notes of which a part is something else: a word before or behind them, or more beside them than
 * beside the notes around them. Each was the only attempt at its note, so that no other says what
 * is usual.
 *
 * <p>Of 1,755 clean notes (recorded notes in recorded and artificial rooms, 88 takes) 10 are said
 * to be disturbed, 2 of them by the rules that look at one note alone; of attempts talked over 36
 * of 56 (31 by those rules), of knocks 31 of 45 (29).
 */
final class ForeignParts {
  /**
   * A note that reaches its own pitch so late has a word before it, in seconds: 999 of 1,000 clean
   * ones do within 0.37.
   */
  static final double LATE_S = 0.45;

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

  /**
   * In a take of calm notes less stands out: so much at its most, in dB, and more than beside all
   * but one of the others by {@link #CALM_MORE_DB},
   */
  private static final double CALM_DB = 11;

  private static final double CALM_MORE_DB = 3;

  /** and so much in all, in dB times seconds, and this multiple of what all but one have. */
  private static final double CALM_DB_S = 0.25;

  private static final double CALM_TIMES = 2;

  /**
   * Below this pitch, in hertz, nothing is heard between partials but the note as a whole, which is
   * as restless as its player: of 25 takes of a double bass one and the same note stood out in 13.
   */
  private static final double LOW_HZ = 120;

  private ForeignParts() {}

  /**
   * The regions of such notes; they are told apart by identity.
   *
   * @param regions all of the take
   * @param kept those that are samples
   */
  static Set<Region> of(List<Region> regions, List<KeptRegion> kept) {
    Set<Region> runInto = Collections.newSetFromMap(new IdentityHashMap<>());
    for (int i = 0; i + 1 < regions.size(); i++) {
      if (isRunInto(regions.get(i), regions.get(i + 1))) {
        runInto.add(regions.get(i));
      }
    }
    List<KeptRegion> notes =
        kept.stream()
            .filter(one -> one.region().pitch() != null && one.cell().midi() != null)
            .toList();
    Set<Region> found = inCalmNotes(kept);
    for (KeptRegion note : notes) {
      Blemishes blemishes = note.region().blemishes();
      // A note begun on the wrong one has a flag of its own.
      boolean isLate =
          blemishes.beginning().lateS() >= LATE_S
              && !note.region().flags().contains(Flag.WRONG_START);
      boolean isForeign =
          isLate
              || blemishes.ending().risesDbS() >= BEHIND_DB_S
              || runInto.contains(note.region())
              || isUnlikeNeighbours(note, notes);
      // Whoever has set its bounds has decided what is in it.
      if (isForeign && !note.correction().movesBounds()) {
        found.add(note.region());
      }
    }
    return found;
  }

  /**
   * The regions of the notes that stand out of a take whose others are calm: of 1,529 clean
   * attempts one, of 210 that were scratched, knocked or talked into 58, of which 7 by nothing
   * else.
   *
   * @param kept those that are samples, in the order played
   */
  static Set<Region> inCalmNotes(List<KeptRegion> kept) {
    List<KeptRegion> notes = notLow(kept);
    Set<Region> found = Collections.newSetFromMap(new IdentityHashMap<>());
    for (KeptRegion note : notes) {
      if (standsOut(note, notes.stream().filter(other -> other != note).toList())) {
        found.add(note.region());
      }
    }
    return found;
  }

  /**
   * The same while the take is recorded: each beside the notes before it alone, so that no later
   * note changes what was said of it.
   *
   * @param kept those that are samples so far, in the order played
   */
  static Set<Region> inCalmNotesSoFar(List<KeptRegion> kept) {
    List<KeptRegion> notes = notLow(kept);
    Set<Region> found = Collections.newSetFromMap(new IdentityHashMap<>());
    for (int i = 0; i < notes.size(); i++) {
      if (standsOut(notes.get(i), notes.subList(0, i))) {
        found.add(notes.get(i).region());
      }
    }
    return found;
  }

  private static List<KeptRegion> notLow(List<KeptRegion> kept) {
    return kept.stream()
        .filter(one -> one.region().pitch() != null && one.cell().midi() != null)
        .filter(one -> one.region().pitch().frequencyHz() > LOW_HZ)
        .toList();
  }

  private static boolean standsOut(KeptRegion note, List<KeptRegion> others) {
    if (others.size() < MIN_NEIGHBOURS || note.correction().movesBounds()) {
      return false;
    }
    Blemishes.Beside beside = note.region().blemishes().beside();
    double dbS = secondMost(others, Blemishes.Beside::dbS);
    double mostDb = secondMost(others, Blemishes.Beside::mostDb);
    return beside.dbS() >= Math.max(CALM_DB_S, CALM_TIMES * dbS)
        && beside.mostDb() >= Math.max(CALM_DB, mostDb + CALM_MORE_DB);
  }

  /** What is heard beside all notes but one at most: that one may be flawed as well. */
  private static double secondMost(
      List<KeptRegion> notes, ToDoubleFunction<Blemishes.Beside> measure) {
    double[] sorted =
        notes.stream()
            .mapToDouble(note -> measure.applyAsDouble(note.region().blemishes().beside()))
            .sorted()
            .toArray();
    return sorted[sorted.length - 2];
  }

  /** Whether a word or a knock sets in before a sound has ended: it begins softly, in the tail. */
  static boolean isRunInto(Region sound, Region next) {
    return next.rejected()
        && (next.flags().contains(Flag.TALK) || next.flags().contains(Flag.KNOCK))
        && next.start() <= sound.end();
  }

  private static boolean isUnlikeNeighbours(KeptRegion note, List<KeptRegion> notes) {
    Blemishes blemishes = note.region().blemishes();
    if (blemishes.beside().mostDb() < MOST_DB || blemishes.beside().dbS() < ALL_DB_S) {
      return false;
    }
    double[] near =
        note.nearest(notes, NEIGHBOURS).stream()
            .mapToDouble(other -> other.region().blemishes().beside().dbS())
            .toArray();
    Arrays.sort(near);
    return near.length >= MIN_NEIGHBOURS
        && blemishes.beside().dbS() >= TIMES * near[near.length - 2];
  }
}
