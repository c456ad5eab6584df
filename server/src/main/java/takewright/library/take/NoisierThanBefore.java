package takewright.library.take;

import java.util.Collections;
import java.util.Comparator;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.segment.Blemishes;
import takewright.segment.Region;

/**
 * Notes of a take that is being recorded, each beside those before it alone, so that no later note
 * changes what was said of it: those in which more comes and goes than in any before ({@link
 * AperiodicParts}), or more is heard than whenever the same note was played, in another round robin
 * or at another dynamic: a scratch, a knock or a word that would not stand out among the other
 * notes of a bow that changes.
 *
 * <p>What is heard beside a note is mostly its own. Of 600 clean notes of 43 takes that had been
 * played before none has {@link #MORE_DB} or {@link #APERIODIC_DB} more and two have a sharper
 * knock; of 52 that were scratched, knocked or talked into 26, 17 and 12 have, 39 one of these
 * (2026-11-29). These were often the same recording played anew: two performances differ more, so
 * that the limits stand far above what most of the pairs came to (10 dB, 3 dB).
 */
final class NoisierThanBefore {
  /** So much more beside a note, in dB, is none of it; */
  private static final double MORE_DB = 20;

  /** nor is so much more that comes and goes in one band while it goes on, in dB; */
  private static final double APERIODIC_DB = 10;

  /** nor a blow that stands out by so much, in dB, */
  private static final double KNOCK_DB = 6;

  /**
   * and by so much more than any before, and than all other notes before but one: what rain or a
   * clock knocks over some notes is not over each of them.
   */
  private static final double SHARPER_DB = 3;

  private NoisierThanBefore() {}

  /**
   * The regions of such notes; they are told apart by identity.
   *
   * @param kept those that are samples so far, in the order played
   * @param sampleRate of the take, in hertz
   */
  static Set<Region> of(List<KeptRegion> kept, int sampleRate) {
    Set<Region> found = Collections.newSetFromMap(new IdentityHashMap<>());
    List<KeptRegion> notes = AperiodicParts.pitched(kept);
    for (int i = 0; i < notes.size(); i++) {
      KeptRegion note = notes.get(i);
      List<KeptRegion> before = notes.subList(0, i);
      if (ForeignParts.isLate(note.region(), sampleRate)
          || AperiodicParts.standsOut(note, before)
          || hasMoreThanEachTime(note, before, usualKnockDb(before))) {
        found.add(note.region());
      }
    }
    return found;
  }

  /** The sharpest blow over any note but one; 0 of one note or none. */
  private static double usualKnockDb(List<KeptRegion> notes) {
    return notes.stream()
        .map(note -> knockDb(note.region()))
        .sorted(Comparator.reverseOrder())
        .skip(1)
        .findFirst()
        .orElse(0.0);
  }

  private static double knockDb(Region note) {
    return note.blemishes().beside().knockDb();
  }

  private static boolean hasMoreThanEachTime(
      KeptRegion note, List<KeptRegion> before, double usualKnockDb) {
    List<Region> same =
        before.stream()
            .filter(other -> note.semitonesTo(other) == 0)
            .map(KeptRegion::region)
            .toList();
    // What rings into a note is heard beside it as well.
    boolean isAlone = !note.region().flags().contains(Flag.IN_TAIL);
    return isAlone && !same.isEmpty() && hasMore(note.region(), same, usualKnockDb);
  }

  private static boolean hasMore(Region note, List<Region> before, double usualKnockDb) {
    double knockDb = knockDb(note);
    return before.stream().allMatch(other -> hasMore(note.blemishes(), other.blemishes()))
        || knockDb >= Math.max(KNOCK_DB, usualKnockDb + SHARPER_DB)
            && before.stream().allMatch(other -> knockDb >= knockDb(other) + SHARPER_DB);
  }

  private static boolean hasMore(Blemishes note, Blemishes other) {
    double aperiodic =
        note.aperiodic().moreDb(other.aperiodic()) - other.aperiodic().moreDb(note.aperiodic());
    return note.moreDb(other) > MORE_DB || aperiodic > APERIODIC_DB;
  }
}
