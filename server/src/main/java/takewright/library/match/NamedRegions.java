package takewright.library.match;

import java.util.Collections;
import java.util.List;
import java.util.Set;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellName;

/**
 * What a person says that the playable regions of a take are. A region whose name leaves only one
 * cell gets that one, in or out of the order, and the others are aligned as if it were not there; a
 * name that leaves several restricts the choice.
 */
final class NamedRegions {
  private final List<CellName> names;
  private final List<Cell> cells;
  private final Set<Cell> closed;

  /** The only cell that a name leaves to each region, or {@link Matching#NO_CELL}. */
  private final int[] only;

  /** Whether a person gave a cell to a region. */
  private final boolean[] given;

  /**
   * @param names of each region, {@link CellName#ANY} where nothing is said
   * @param closed cells that stay empty
   */
  NamedRegions(List<CellName> names, List<Cell> cells, Set<Cell> closed) {
    this.closed = closed;
    this.names = names;
    this.cells = cells;
    only = names.stream().mapToInt(this::only).toArray();
    given = new boolean[cells.size()];
    for (int cell : only) {
      if (cell >= 0) {
        given[cell] = true;
      }
    }
  }

  /** A number of regions of which a person says nothing. */
  static NamedRegions none(int regions, List<Cell> cells) {
    return new NamedRegions(Collections.nCopies(regions, CellName.ANY), cells, Set.of());
  }

  private int only(CellName name) {
    int found = Matching.NO_CELL;
    for (int c = 0; c < cells.size() && !name.isAny(); c++) {
      if (name.fits(cells.get(c))) {
        if (found >= 0) {
          return Matching.NO_CELL;
        }
        found = c;
      }
    }
    return found;
  }

  /** Whether anything is said of a region. */
  boolean isNamed(int region) {
    return !names.get(region).isAny();
  }

  /** Whether a person said which note a region is. */
  boolean namesNote(int region) {
    return names.get(region).midi() != null;
  }

  /** Whether a region gets its cell whatever the order says. */
  boolean isPlaced(int region) {
    return only[region] >= 0;
  }

  /** Whether a region may be aligned with a cell. */
  boolean allows(int region, int cell) {
    return only[region] < 0 && names.get(region).fits(cells.get(cell)) && !isClosed(cell);
  }

  /** Whether a person gave a cell to a region, or it is closed: no other may have it. */
  boolean isGiven(int cell) {
    return given[cell] || isClosed(cell);
  }

  private boolean isClosed(int cell) {
    return closed.contains(cells.get(cell));
  }

  /**
   * Gives the regions that are named a cell where the order gave them none.
   *
   * @param cellOf cell of each region, or {@link Matching#NO_CELL}; changed
   */
  void place(int[] cellOf) {
    boolean[] filled = new boolean[cells.size()];
    for (int cell : cellOf) {
      if (cell >= 0) {
        filled[cell] = true;
      }
    }
    int before = -1;
    for (int i = 0; i < cellOf.length; i++) {
      if (isNamed(i) && cellOf[i] < 0) {
        cellOf[i] = only[i] >= 0 ? only[i] : nearest(names.get(i), before + 1, filled);
        filled[cellOf[i]] = true;
      } else if (cellOf[i] >= 0) {
        before = cellOf[i];
      }
    }
  }

  /** Of the cells that fit a name the one nearest to a place in the order, an empty one if any. */
  private int nearest(CellName name, int place, boolean[] filled) {
    int best = -1;
    for (int c = 0; c < filled.length; c++) {
      boolean isBetter =
          best < 0
              || filled[best] && !filled[c]
              || filled[best] == filled[c] && Math.abs(c - place) < Math.abs(best - place);
      if (name.fits(cells.get(c)) && isBetter) {
        best = c;
      }
    }
    return best;
  }
}
