package takewright.library.take;

import java.util.Comparator;
import java.util.List;
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

  /** How far apart the notes of two cells are. */
  int semitonesTo(KeptRegion other) {
    return Math.abs(cell.midi() - other.cell.midi());
  }
}
