package takewright.library.follow;

import java.util.List;
import java.util.Objects;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.library.match.Matching;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/**
 * Which attempts that are not used are at notes that the player is still to play, so that they are
 * no surplus: the matching may take one for another attempt at the round robin or dynamic before.
 */
final class StillWanted {
  private final List<Cell> cells;
  private final Matching matching;

  StillWanted(List<Cell> cells, Matching matching) {
    this.cells = cells;
    this.matching = matching;
  }

  /**
   * Whether a region is an attempt that is not used, and its note is still to be played.
   *
   * @param flags of all regions
   */
  boolean isWanted(int region, List<Set<Flag>> flags) {
    return matching.statuses().get(region) == CellStatus.RETAKE
        && (isToBePlayed(matching.cells()[region]) || isUsedOneFlawed(region, flags));
  }

  /** Whether a round robin of a cell's note is missing, or the next cell is that note once more. */
  private boolean isToBePlayed(int cell) {
    Cell note = cells.get(cell);
    boolean isNext =
        matching.missing().stream()
            .filter(open -> open > cell)
            .limit(1)
            .anyMatch(open -> Objects.equals(cells.get(open).midi(), note.midi()));
    return isNext
        || matching.missing().stream().anyMatch(open -> cells.get(open).isSameNoteAs(note));
  }

  /** Whether an attempt at the same note that is used, at whichever dynamic, is doubted itself. */
  private boolean isUsedOneFlawed(int attempt, List<Set<Flag>> flags) {
    Cell cell = cells.get(matching.cells()[attempt]);
    for (int i = 0; i < flags.size(); i++) {
      if (matching.statuses().get(i) == CellStatus.KEPT
          && Objects.equals(cells.get(matching.cells()[i]).midi(), cell.midi())
          && Judgement.ofSound(flags.get(i)) != Judgement.GOOD) {
        return true;
      }
    }
    return false;
  }
}
