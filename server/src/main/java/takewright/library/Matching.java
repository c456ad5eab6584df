package takewright.library;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.segment.Region;

/**
 * Which region of a take fills which cell.
 *
 * @param cells cell of each region, or {@link #NO_CELL}
 * @param statuses what became of each region
 * @param missing cells that no region fills, in order
 */
record Matching(int[] cells, List<CellStatus> statuses, List<Integer> missing) {
  /** A region that fills no cell. */
  static final int NO_CELL = -1;

  /** Of several regions for one cell the last is kept. */
  static Matching of(List<Region> regions, int cellCount, int[] cellOf) {
    int[] last = new int[cellCount];
    Arrays.fill(last, -1);
    for (int i = 0; i < cellOf.length; i++) {
      if (cellOf[i] >= 0) {
        last[cellOf[i]] = i;
      }
    }
    List<CellStatus> statuses = new ArrayList<>();
    for (int i = 0; i < cellOf.length; i++) {
      if (cellOf[i] < 0) {
        statuses.add(regions.get(i).rejected() ? CellStatus.REJECTED : CellStatus.EXTRA);
      } else {
        statuses.add(last[cellOf[i]] == i ? CellStatus.KEPT : CellStatus.RETAKE);
      }
    }
    List<Integer> missing = new ArrayList<>();
    for (int c = 0; c < cellCount; c++) {
      if (last[c] < 0) {
        missing.add(c);
      }
    }
    return new Matching(cellOf, List.copyOf(statuses), List.copyOf(missing));
  }
}
