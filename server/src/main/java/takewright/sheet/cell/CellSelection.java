package takewright.sheet.cell;

import java.util.List;
import java.util.Set;

/**
 * Some of the cells of a sheet.
 *
 * @param parts a cell that fits any of them is selected
 */
public record CellSelection(List<Part> parts) {
  /**
   * What a cell must be. An empty set asks for nothing.
   *
   * @param articulations for instance "tremolo"
   * @param notes MIDI note numbers
   * @param dynamics for instance "mf"
   * @param roundRobins from 1
   */
  public record Part(
      Set<String> articulations,
      Set<Integer> notes,
      Set<String> dynamics,
      Set<Integer> roundRobins) {
    public Part {
      articulations = Set.copyOf(articulations);
      notes = Set.copyOf(notes);
      dynamics = Set.copyOf(dynamics);
      roundRobins = Set.copyOf(roundRobins);
    }

    boolean fits(Cell cell) {
      return isIn(articulations, cell.articulation())
          && (notes.isEmpty() || cell.midi() != null && notes.contains(cell.midi()))
          && isIn(dynamics, cell.dynamic())
          && isIn(roundRobins, cell.rr());
    }

    private static <T> boolean isIn(Set<T> set, T value) {
      return set.isEmpty() || set.contains(value);
    }
  }

  /** Every cell. */
  public static final CellSelection ALL =
      new CellSelection(List.of(new Part(Set.of(), Set.of(), Set.of(), Set.of())));

  public CellSelection {
    parts = List.copyOf(parts);
  }

  /** Whether a cell is among them. */
  public boolean fits(Cell cell) {
    return parts.stream().anyMatch(part -> part.fits(cell));
  }
}
