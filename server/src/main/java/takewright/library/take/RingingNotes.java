package takewright.library.take;

import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.stream.IntStream;
import takewright.diagnosis.Flag;
import takewright.segment.Region;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;

/**
 * Takes whose notes ring into the next, as those of plucked and struck instruments do. A tail ends
 * where the next note begins; where all are like that, it is how the take was played and no fault
 * of single notes.
 */
final class RingingNotes {
  /** A take in which more than this share of the notes but the last ring on was played so. */
  private static final double MOSTLY = 0.5;

  /** Fewer notes that ring on show nothing. */
  private static final int MIN_RINGING = 3;

  private RingingNotes() {}

  /**
   * The regions without the flags of ringing, if the sheet or the take itself says so.
   *
   * @param isOver whether these are all: while a take is recorded its first notes may all ring
   */
  static List<Region> unflagged(Take take, List<Region> regions, boolean isOver) {
    boolean isOnPurpose =
        take.rules().cutting().letRing()
            || isPlayedSo(regions)
            || !isOver && mayBePlayedSo(regions);
    if (!isOnPurpose) {
      return regions;
    }
    return regions.stream().map(RingingNotes::unflagged).toList();
  }

  private static Region unflagged(Region region) {
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    flags.addAll(region.flags());
    flags.remove(Flag.RINGS_ON);
    flags.remove(Flag.IN_TAIL);
    return region.marked(region.rejected(), flags);
  }

  /** A word on a take that was played so without its sheet's saying so; null if it was not. */
  static SheetProblem doubt(Take take, List<Region> found) {
    if (take.rules().cutting().letRing() || !isPlayedSo(found)) {
      return null;
    }
    return SheetProblem.warning(
        take.lines().take(),
        "let_ring",
        String.format(
            "%s: %d of %d notes ring into the next one and end where it begins",
            take.name(), ringing(found), notes(found)),
        "say `let_ring: yes` if that is on purpose, or leave longer pauses when it is played again");
  }

  private static boolean isPlayedSo(List<Region> regions) {
    long ringing = ringing(regions);
    return ringing >= MIN_RINGING && ringing > MOSTLY * (notes(regions) - 1);
  }

  /** Whether all notes but the last ring on, and they are too few to show a habit. */
  private static boolean mayBePlayedSo(List<Region> regions) {
    return notes(regions) <= MIN_RINGING && ringing(regions) >= notes(regions) - 1;
  }

  /** Notes whose tail is cut loud, or in whose tail the next sound begins. */
  private static long ringing(List<Region> regions) {
    return IntStream.range(0, regions.size())
        .filter(i -> !regions.get(i).rejected() && ringsOn(regions, i))
        .count();
  }

  private static boolean ringsOn(List<Region> regions, int index) {
    boolean isHeardInNext =
        index + 1 < regions.size() && regions.get(index + 1).flags().contains(Flag.IN_TAIL);
    return isHeardInNext || regions.get(index).flags().contains(Flag.RINGS_ON);
  }

  private static long notes(List<Region> regions) {
    return regions.stream().filter(region -> !region.rejected()).count();
  }
}
