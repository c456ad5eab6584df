package takewright.library.take;

import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.stream.IntStream;
import takewright.diagnosis.Flag;
import takewright.library.match.Interruptions;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;

/**
 * Takes whose notes ring into the next, as those of plucked and struck instruments do. A tail ends
 * where the next note begins; where all are like that, it is how the take was played and no fault
 * of single notes.
 */
final class RingingNotes {
  /**
   * A take in which more than this share of the notes ring into the next was played so. Where
   * pauses were left, a ninth did at most (22 takes); where none were, a fifth and more, or so few
   * that hardly any is flagged (16 takes, 2026-11-30).
   */
  private static final double SHARE = 1.0 / 6;

  /** Fewer notes that ring on show nothing. */
  private static final int MIN_RINGING = 3;

  /** A note shorter than this share of the next one may be a first piece of it, */
  private static final double PIECE = 0.5;

  /** if it lies no further from it than this, in semitones: it was begun on the wrong note. */
  private static final double PIECE_SEMITONES = 2.5;

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
            take.name(), ringing(found), followed(found)),
        "say `let_ring: yes` if that is on purpose, or leave longer pauses when it is played again");
  }

  private static boolean isPlayedSo(List<Region> regions) {
    long ringing = ringing(regions);
    return ringing >= MIN_RINGING && ringing > SHARE * followed(regions);
  }

  /** Whether all notes but the last ring on, and they are too few to show a habit. */
  private static boolean mayBePlayedSo(List<Region> regions) {
    long notes = regions.stream().filter(region -> !region.rejected()).count();
    return notes <= MIN_RINGING && ringing(regions) >= notes - 1;
  }

  /** Notes that are still heard where the next one begins. */
  private static long ringing(List<Region> regions) {
    return IntStream.range(1, regions.size())
        .filter(next -> isNoteBefore(regions, next) && ringsInto(regions, next))
        .count();
  }

  /** Notes that another one follows, so that they may ring into it. */
  private static long followed(List<Region> regions) {
    return IntStream.range(1, regions.size()).filter(next -> isNoteBefore(regions, next)).count();
  }

  private static boolean ringsInto(List<Region> regions, int next) {
    return Interruptions.isRungInto(regions, next)
        || regions.get(next - 1).flags().contains(Flag.RINGS_ON);
  }

  /** Whether two neighbouring regions are two notes: no word, no knock, no pieces of one note. */
  private static boolean isNoteBefore(List<Region> regions, int next) {
    Region first = regions.get(next - 1);
    Region second = regions.get(next);
    return !first.rejected() && !second.rejected() && !isPiece(first, second);
  }

  private static boolean isPiece(Region first, Region second) {
    return first.pitch() != null
        && second.pitch() != null
        && Math.abs(semitones(first.pitch()) - semitones(second.pitch())) < PIECE_SEMITONES
        && first.heardFrames() < PIECE * second.heardFrames();
  }

  private static double semitones(Pitch pitch) {
    return pitch.midi() + pitch.cents() / 100;
  }
}
