package takewright.report;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.library.folder.IndexRow;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;

/**
 * The state of each cell while a sheet is built, for the page: one letter per cell, so that
 * thousands of them are a few kilobytes each time the page loads them.
 */
final class CellStates {
  /** Its take is not cut yet. */
  static final char AWAITED = '.';

  /** A region fills it; not all of its samples are written. */
  static final char FOUND = 'm';

  /** Its samples are written. */
  static final char KEPT = 'k';

  /** Its samples are written, and one of them is flagged. */
  static final char FLAGGED = 'f';

  /** Nothing fills it. */
  static final char MISSING = 'x';

  private final Sheet sheet;
  private final List<char[]> states = new ArrayList<>();
  private final Map<RowCell, int[]> places = new HashMap<>();

  /** A cell as a row of the index names it. */
  private record RowCell(
      String take, String articulation, Integer midi, String dynamic, Integer rr) {}

  CellStates(Sheet sheet) {
    this.sheet = sheet;
    for (Take take : sheet.takes()) {
      List<Cell> cells = sheet.cells(take);
      char[] ofTake = new char[cells.size()];
      Arrays.fill(ofTake, AWAITED);
      states.add(ofTake);
      for (int i = 0; i < ofTake.length; i++) {
        Cell cell = cells.get(i);
        places.put(
            new RowCell(take.name(), cell.articulation(), cell.midi(), cell.dynamic(), cell.rr()),
            new int[] {take.index(), i});
      }
    }
  }

  synchronized void matched(Take take, List<IndexRow> missing) {
    Arrays.fill(states.get(take.index()), FOUND);
    missing.forEach(row -> set(row, MISSING));
  }

  synchronized void made(List<IndexRow> samples) {
    boolean flagged = samples.stream().anyMatch(row -> !row.flags().isEmpty());
    samples.forEach(row -> set(row, flagged ? FLAGGED : KEPT));
  }

  private void set(IndexRow row, char state) {
    int[] place =
        places.get(
            new RowCell(
                row.stretch().take(),
                row.cell().articulation(),
                row.cell().midi(),
                row.cell().dynamic(),
                row.cell().rr()));
    if (place != null) {
      states.get(place[0])[place[1]] = state;
    }
  }

  /** The letters of a take's cells, in the order of {@link #plan}. */
  synchronized String of(Take take) {
    return new String(states.get(take.index()));
  }

  /** The cells themselves, take by take: note, its name, dynamic, round robin. */
  List<Map<String, Object>> plan() {
    List<Map<String, Object>> takes = new ArrayList<>();
    for (Take take : sheet.takes()) {
      List<Object[]> cells = new ArrayList<>();
      for (Cell cell : sheet.cells(take)) {
        String note = cell.midi() == null ? "" : sheet.naming().noteNames().spell(cell.midi());
        cells.add(new Object[] {cell.midi(), note, cell.dynamic(), cell.rr()});
      }
      Map<String, Object> one = new LinkedHashMap<>();
      one.put("name", take.name());
      one.put("articulation", take.articulation());
      one.put("cells", cells);
      takes.add(one);
    }
    return takes;
  }
}
