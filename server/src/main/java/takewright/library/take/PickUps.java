package takewright.library.take;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import takewright.sheet.Fills;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;

/**
 * Decides which take fills a cell that several ask for: one with cells of its own, then pick-ups in
 * the order of the sheet, each into what is left empty or in place of what is there.
 */
public final class PickUps {
  /** A cell whichever take asks for it. */
  private record CellKey(String articulation, Integer midi, String dynamic, int rr) {
    static CellKey of(Cell cell) {
      return new CellKey(cell.articulation(), cell.midi(), cell.dynamic(), cell.rr());
    }
  }

  /** The take that fills each place so far. */
  private final Map<CellKey, Take> filledBy = new HashMap<>();

  private final List<CutTake> added = new ArrayList<>();

  /** The takes in the order in which they are to be matched: pick-ups last. */
  public static List<Take> last(List<Take> takes) {
    List<Take> ordered = new ArrayList<>();
    takes.stream().filter(take -> !take.fills().isPickUp()).forEach(ordered::add);
    takes.stream().filter(take -> take.fills().isPickUp()).forEach(ordered::add);
    return ordered;
  }

  /** Those of a pick-up's cells that takes matched before fill; none for other takes. */
  Set<Cell> filled(Take take, List<Cell> cells) {
    return take.fills().isPickUp()
        ? cells.stream()
            .filter(cell -> filledBy.containsKey(CellKey.of(cell)))
            .collect(Collectors.toSet())
        : Set.of();
  }

  /** Adds a take that was matched. */
  public void add(CutTake cut) {
    added.add(cut);
    for (KeptRegion kept : cut.kept()) {
      CellKey place = CellKey.of(kept.cell());
      if (cut.take().fills() != Fills.GAPS || !filledBy.containsKey(place)) {
        filledBy.put(place, cut.take());
      }
    }
  }

  /**
   * All takes that were added, in the order of the sheet. A region whose cell another take fills is
   * another attempt at it, and a cell that no take fills is missing from one of them only.
   */
  public List<CutTake> settled() {
    Map<Integer, CutTake> settled = new LinkedHashMap<>();
    Set<CellKey> said = new HashSet<>();
    for (CutTake cut : added) {
      Set<Integer> elsewhere = new HashSet<>();
      Set<Integer> unsaid = new HashSet<>();
      for (int c = 0; c < cut.cells().size(); c++) {
        CellKey place = CellKey.of(cut.cells().get(c));
        Take by = filledBy.get(place);
        if (by != null && !by.equals(cut.take())) {
          elsewhere.add(c);
        } else if (by == null && !said.add(place)) {
          unsaid.add(c);
        }
      }
      settled.put(
          cut.take().index(),
          elsewhere.isEmpty() && unsaid.isEmpty()
              ? cut
              : cut.matched(cut.matching().without(elsewhere, unsaid)));
    }
    return settled.keySet().stream().sorted().map(settled::get).toList();
  }
}
