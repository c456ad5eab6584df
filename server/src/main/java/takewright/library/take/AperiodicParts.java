package takewright.library.take;

import java.util.ArrayList;
import java.util.Collections;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Set;
import java.util.function.ToDoubleFunction;
import takewright.segment.Blemishes.Aperiodic;
import takewright.segment.Region;

/**
 * Notes in which more comes and goes beside their periodic part than in the others of their take: a
 * scratch, a knock or a word lies over them.
 *
 * <p>How restless notes are, each take shows by itself: reeds and strings that die away have next
 * to nothing, a bow that changes as much as a scratch. As long as there are few of them, what the
 * most restless notes elsewhere have stands for some of them.
 */
final class AperiodicParts {
  /**
   * More than all other notes but one have, by so much, in dB: that one may be flawed as well. Of
   * 2,276 clean notes in 127 takes 19 had so much more and were told by nothing else, of 175
   * scratched, knocked or talked into 19; with 4 dB it would be 33 and 21.
   */
  private static final double MORE_DB = 6;

  /**
   * More than any other note has, by so much, in dB, however few they are. Of 2,348 clean notes
   * beside those before them two had 13 dB more, which other limits doubted already; of 40 that
   * were scratched, knocked or talked into and had been called good six had 14 (162 takes,
   * 2026-11-30).
   */
  private static final double FAR_MORE_DB = 14;

  /** Where another time the same note has as much but for this, in dB, it is the note's own. */
  private static final double SAME_DB = 4;

  /** Notes of the take that what is known from elsewhere weighs as much as. */
  private static final double ELSEWHERE = 3;

  /** Below this pitch, in hertz, a string that is bowed may swell in its lowest partials. */
  private static final double LOW_HZ = 120;

  /**
   * So many of the measures tell it, or one of the high band. Of the notes that one measure of the
   * others told in 168 takes while they were recorded, and nothing else did, six were clean and one
   * was knocked; of those that more or a high one told, one and 16 (2026-11-30).
   */
  private static final int ENOUGH = 2;

  /** What is compared. */
  private enum Measure {
    LOW_MOST(-6, Aperiodic.LOW_LEAST_DB, a -> a.low().mostDb()),
    MIDDLE_MOST(-7, Aperiodic.MIDDLE_LEAST_DB, a -> a.middle().mostDb()),
    HIGH_MOST(-10, Aperiodic.HIGH_LEAST_DB, a -> a.high().mostDb()),
    LOW_ALL(-12, -40, a -> a.low().allDbS()),
    MIDDLE_ALL(-16, -39, a -> a.middle().allDbS()),
    HIGH_ALL(-15, -34, a -> a.high().allDbS());

    /** The most that clean notes of any take came to, and 1 to 3 dB more. */
    final double elsewhereDb;

    /** Less than this is nothing. */
    final double leastDb;

    final ToDoubleFunction<Aperiodic> of;

    Measure(double elsewhereDb, double leastDb, ToDoubleFunction<Aperiodic> of) {
      this.elsewhereDb = elsewhereDb;
      this.leastDb = leastDb;
      this.of = of;
    }

    double of(KeptRegion note) {
      return of.applyAsDouble(note.region().blemishes().aperiodic());
    }

    boolean isHigh() {
      return this == HIGH_MOST || this == HIGH_ALL;
    }

    boolean standsOut(KeptRegion note, List<KeptRegion> others) {
      double db = of(note);
      return db >= leastDb
          && db >= threshold(others)
          && !note.isSharedByNote(others, other -> of(other) >= db - SAME_DB);
    }

    private double threshold(List<KeptRegion> others) {
      if (others.isEmpty()) {
        return elsewhereDb;
      }
      double most = Double.NEGATIVE_INFINITY;
      double second = Double.NEGATIVE_INFINITY;
      for (KeptRegion other : others) {
        double db = of(other);
        second = Math.max(second, Math.min(most, db));
        most = Math.max(most, db);
      }
      double far = Math.max(leastDb, most) + FAR_MORE_DB;
      if (others.size() <= ELSEWHERE) {
        return Math.min(far, elsewhereDb);
      }
      double own = Math.max(leastDb, second + MORE_DB);
      return Math.min(far, own + (elsewhereDb - own) * ELSEWHERE / others.size());
    }
  }

  private AperiodicParts() {}

  /**
   * The regions of such notes; they are told apart by identity.
   *
   * @param kept those that are samples, in the order played
   */
  static Set<Region> of(List<KeptRegion> kept) {
    Set<Region> found = Collections.newSetFromMap(new IdentityHashMap<>());
    List<KeptRegion> notes = pitched(kept);
    for (KeptRegion note : notes) {
      List<KeptRegion> others = new ArrayList<>(notes);
      others.remove(note);
      if (standsOut(note, others)) {
        found.add(note.region());
      }
    }
    return found;
  }

  /** Those that have a pitch and a cell for one. */
  static List<KeptRegion> pitched(List<KeptRegion> kept) {
    return kept.stream()
        .filter(one -> one.region().pitch() != null && one.cell().midi() != null)
        .toList();
  }

  /** Whether a note is so low that what swells beside it may be its own lowest partials. */
  static boolean isLow(KeptRegion note) {
    return note.region().pitch().frequencyHz() < LOW_HZ;
  }

  /** Whether a note is one of them beside some others; all have a pitch. */
  static boolean standsOut(KeptRegion note, List<KeptRegion> others) {
    // Whoever has set its bounds has decided what is in it.
    if (note.correction().movesBounds()) {
      return false;
    }
    boolean isLow = isLow(note);
    int found = 0;
    for (Measure measure : Measure.values()) {
      boolean isOwn = isLow && (measure == Measure.LOW_MOST || measure == Measure.LOW_ALL);
      if (!isOwn && measure.standsOut(note, others)) {
        found += measure.isHigh() ? ENOUGH : 1;
      }
    }
    return found >= ENOUGH;
  }
}
