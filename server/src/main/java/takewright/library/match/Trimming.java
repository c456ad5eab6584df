package takewright.library.match;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/** Cuts the round robins of a note and dynamic to equal lengths. */
public final class Trimming {
  /** A round robin shorter than this share of the median was broken off and does not count. */
  private static final double BROKEN_OFF = 0.5;

  private Trimming() {}

  /**
   * The regions; kept ones end as long after their onset as the shortest of their note and dynamic.
   */
  public static List<Region> apply(List<Cell> cells, List<Region> regions, Matching matching) {
    List<Region> trimmed = new ArrayList<>(regions);
    for (int i = 0; i < regions.size(); i++) {
      if (matching.statuses().get(i) == CellStatus.KEPT) {
        Region region = regions.get(i);
        Cell cell = cells.get(matching.cells()[i]);
        long[] lengths = lengths(cell, cells, regions, matching);
        long middle = lengths[lengths.length / 2];
        long shortest =
            Arrays.stream(lengths).filter(n -> n >= BROKEN_OFF * middle).findFirst().orElse(middle);
        trimmed.set(i, region.until(Math.min(region.end(), region.onset() + shortest)));
      }
    }
    return trimmed;
  }

  /** Lengths from the onset of all round robins of a note and dynamic, shortest first. */
  private static long[] lengths(
      Cell cell, List<Cell> cells, List<Region> regions, Matching matching) {
    long[] lengths = new long[regions.size()];
    int n = 0;
    for (int i = 0; i < lengths.length; i++) {
      if (matching.statuses().get(i) == CellStatus.KEPT) {
        Cell other = cells.get(matching.cells()[i]);
        if (java.util.Objects.equals(other.midi(), cell.midi())
            && other.dynamic().equals(cell.dynamic())) {
          lengths[n++] = regions.get(i).end() - regions.get(i).onset();
        }
      }
    }
    lengths = Arrays.copyOf(lengths, n);
    Arrays.sort(lengths);
    return lengths;
  }
}
