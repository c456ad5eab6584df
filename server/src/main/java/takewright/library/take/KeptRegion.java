package takewright.library.take;

import java.util.Comparator;
import java.util.List;
import java.util.function.Predicate;
import takewright.library.match.FlawedAlone;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Correction;

/**
 * A region that samples are made of.
 *
 * @param take the take in which it is
 * @param region the region
 * @param cell the cell that it fills
 * @param correction what a person corrects about it
 */
public record KeptRegion(Take take, Region region, Cell cell, Correction correction) {
  /**
   * Notes that are overtaken fall by less than this, in dB; those that are stopped by 20 and more.
   */
  private static final double OVERTAKEN_DB = 6;

  /**
   * Those of some others that are nearest in pitch, and of these nearest in time; all have a note.
   */
  List<KeptRegion> nearest(List<KeptRegion> others, int count) {
    return others.stream()
        .filter(other -> other != this)
        .sorted(
            Comparator.<KeptRegion>comparingInt(this::semitonesTo)
                .thenComparingLong(other -> Math.abs(other.region.start() - region.start())))
        .limit(count)
        .toList();
  }

  /**
   * Whether it ends where another sound sets in, neither stopped nor fading into the room: nobody
   * can tell how long it would have been.
   */
  boolean isOvertaken() {
    Blemishes.Ending ending = region.blemishes().ending();
    boolean isMeasured = ending.stopDb() > 0;
    return isMeasured && ending.hiddenFrames() <= 0 && ending.stopDb() < OVERTAKEN_DB;
  }

  /** How far apart the notes of two cells are. */
  int semitonesTo(KeptRegion other) {
    return Math.abs(cell.midi() - other.cell.midi());
  }

  /**
   * Whether something that is heard in it is heard each time the note is played.
   *
   * @param others other notes of its take
   * @param hasIt whether it is heard in one of them
   */
  boolean isSharedByNote(List<KeptRegion> others, Predicate<KeptRegion> hasIt) {
    List<KeptRegion> same =
        others.stream().filter(other -> other != this && semitonesTo(other) == 0).toList();
    return FlawedAlone.isEachTime(same, hasIt);
  }
}
