package takewright.library.take;

import java.util.Collections;
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
 * played before none has {@link #MORE_DB} or {@link #APERIODIC_DB} more; of 52 that were scratched,
 * knocked or talked into 26 and 17 have (2026-11-29). These were often the same recording played
 * anew: two performances differ more, so that the limits stand far above what most of the pairs
 * came to (10 dB, 3 dB).
 */
final class NoisierThanBefore {
  /** Notes up to this are short, in seconds. */
  private static final double SHORT_S = 1;

  /** What is heard beside a note is none of it where it is louder by more than this, in dB. */
  private static final double MORE_DB = 20;

  /** The same of what comes and goes in one band while the note goes on, in dB. */
  private static final double APERIODIC_DB = 10;

  /**
   * What is heard beside a note is none of it if it rises so much higher than each time before, of
   * two at least, in dB. Of the notes of 81 takes that had been played twice before, no clean one
   * that something is heard beside rises by more than 7.6 dB, and three flawed ones that had been
   * called good rise by 10.8 and more (2026-12-01).
   */
  private static final double BESIDE_DB = 9;

  /**
   * A part of a note has another pitch, or none, if its share of windows that agree is so much
   * smaller than each time before. Of 1,028 notes of 81 takes that had been played before, five
   * flawed ones come to 0.35 and more, of which two had been called good, and clean ones to 0.27
   * (2026-12-01).
   */
  private static final double FEWER_AGREE = 0.3;

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
      if (isLate(note.region(), sampleRate)
          || AperiodicParts.standsOut(note, before)
          || hasMoreThanEachTime(note, before)) {
        found.add(note.region());
      }
    }
    return found;
  }

  /** A short note may have no pitch for as long: of four that seemed late three were clean. */
  private static boolean isLate(Region note, int sampleRate) {
    return note.heardFrames() > SHORT_S * sampleRate && ForeignParts.isLate(note, sampleRate);
  }

  private static boolean hasMoreThanEachTime(KeptRegion note, List<KeptRegion> before) {
    List<Region> same =
        before.stream()
            .filter(other -> note.semitonesTo(other) == 0)
            .map(KeptRegion::region)
            .toList();
    // What rings into a note is heard beside it as well.
    boolean isAlone = !note.region().flags().contains(Flag.IN_TAIL);
    return isAlone
        && !same.isEmpty()
        && (same.stream().allMatch(one -> hasMore(note.region().blemishes(), one.blemishes()))
            || same.stream().allMatch(one -> hasFewerThatAgree(note.region(), one))
            || same.size() > 1
                && note.region().blemishes().beside().mostDb() >= ForeignParts.MOST_DB
                && same.stream().allMatch(one -> hasMoreBeside(note.region(), one)));
  }

  private static boolean hasMore(Blemishes note, Blemishes other) {
    double aperiodic =
        note.aperiodic().moreDb(other.aperiodic()) - other.aperiodic().moreDb(note.aperiodic());
    return note.moreDb(other) > MORE_DB || aperiodic > APERIODIC_DB;
  }

  private static boolean hasMoreBeside(Region note, Region other) {
    return note.blemishes().beside().mostDb() > other.blemishes().beside().mostDb() + BESIDE_DB;
  }

  private static boolean hasFewerThatAgree(Region note, Region other) {
    return note.confidence() < other.confidence() - FEWER_AGREE;
  }
}
