package takewright.sheet.decision;

import takewright.diagnosis.Place;
import takewright.sheet.cell.CellName;

/**
 * One entry of {@code fixes}: a person's correction of the region at a time, or of those that fill
 * certain cells.
 *
 * @param place where it is written
 * @param atS a time inside the region, in seconds in the take; null if it is found by its cell
 * @param cell with a time: what the region is; without: by which cells the regions are found
 * @param acceptsMissing whether the cells stay empty
 * @param correction what is corrected
 */
public record Fix(
    Place place, Double atS, CellName cell, boolean acceptsMissing, Correction correction) {
  /** Whether it is about the region at a time. */
  public boolean isByTime() {
    return atS != null;
  }

  /** Whether it says what the region at its time is. */
  public boolean namesWhatItIs() {
    return isByTime() && !cell.isAny();
  }
}
