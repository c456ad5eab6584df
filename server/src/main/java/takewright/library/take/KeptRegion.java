package takewright.library.take;

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
public record KeptRegion(Take take, Region region, Cell cell, Correction correction) {}
