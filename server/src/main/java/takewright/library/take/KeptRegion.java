package takewright.library.take;

import takewright.segment.Region;
import takewright.sheet.Cell;
import takewright.sheet.Take;

/**
 * A region that samples are made of.
 *
 * @param take the take in which it is
 * @param region the region
 * @param cell the cell that it fills
 */
public record KeptRegion(Take take, Region region, Cell cell) {}
