package takewright.library.match;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/**
 * Which region of a take fills which cell.
 *
 * @param cells cell of each region, or {@link #NO_CELL}
 * @param statuses what became of each region
 * @param missing cells that no region fills, in order
 * @param cost how badly the regions fit the order of the cells, 0 or more, on the scale of a
 *     negative log likelihood
 * @param breaksAt the first region from which on they fit worse than before
 */
public record Matching(
    int[] cells, List<CellStatus> statuses, List<Integer> missing, double cost, int breaksAt) {
  /** A region that fills no cell. */
  public static final int NO_CELL = -1;

  /**
   * Of several regions for one cell that with the fewest flaws is kept, the last among equals, or
   * the last that a person keeps.
   *
   * @param fixed whether a person says which cell a region fills
   * @param sampleRate of the take, in hertz
   */
  static Matching of(
      List<Region> regions,
      List<Cell> cells,
      int[] cellOf,
      boolean[] fixed,
      double cost,
      int breaksAt,
      int sampleRate) {
    int cellCount = cells.size();
    int[] last = new int[cellCount];
    Arrays.fill(last, -1);
    for (int i = 0; i < cellOf.length; i++) {
      if (cellOf[i] >= 0) {
        int before = last[cellOf[i]];
        boolean stays =
            before >= 0
                && (fixed[before] && !fixed[i]
                    || fixed[before] == fixed[i]
                        && isForced(regions.get(before))
                        && !isForced(regions.get(i)));
        last[cellOf[i]] = stays ? before : i;
      }
    }
    Attempts.choose(regions, cells, cellOf, last, fixed, sampleRate);
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
    return new Matching(cellOf, List.copyOf(statuses), List.copyOf(missing), cost, breaksAt);
  }

  private static boolean isForced(Region region) {
    return region.flags().contains(Flag.FORCED);
  }

  /**
   * The same where other takes are to fill some cells.
   *
   * @param elsewhere those that they fill: a region that was kept for one is another attempt at it
   * @param unsaid those that are not missing from this take either
   */
  public Matching without(Set<Integer> elsewhere, Set<Integer> unsaid) {
    List<CellStatus> changed = new ArrayList<>(statuses);
    for (int i = 0; i < cells.length; i++) {
      if (statuses.get(i) == CellStatus.KEPT && elsewhere.contains(cells[i])) {
        changed.set(i, CellStatus.RETAKE);
      }
    }
    List<Integer> left =
        missing.stream().filter(c -> !elsewhere.contains(c) && !unsaid.contains(c)).toList();
    return new Matching(cells, List.copyOf(changed), left, cost, breaksAt);
  }

  /**
   * The regions with what is wrong with each among its flags.
   *
   * @param sampleRate of the take, in hertz
   */
  public List<Region> marked(List<Region> regions, int sampleRate) {
    return AttemptFlags.marked(regions, this, sampleRate);
  }

  /** Whether a region is a note that was broken off and begun again. */
  public boolean isFalseStart(int index, List<Region> regions) {
    int kept = keptInsteadOf(index);
    return kept >= 0 && Attempts.isBrokenOffBeside(regions.get(index), regions.get(kept));
  }

  /** The attempt that is kept instead of another; -1 if none is. */
  int keptInsteadOf(int retake) {
    if (statuses.get(retake) != CellStatus.RETAKE) {
      return -1;
    }
    for (int i = 0; i < cells.length; i++) {
      if (cells[i] == cells[retake] && statuses.get(i) == CellStatus.KEPT) {
        return i;
      }
    }
    return -1;
  }
}
