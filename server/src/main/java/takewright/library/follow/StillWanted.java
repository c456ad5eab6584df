package takewright.library.follow;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import java.util.stream.IntStream;
import takewright.diagnosis.Flag;
import takewright.library.match.Matching;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/**
 * Which attempts that are not used are at notes that the player was still to play, so that they are
 * no surplus: the matching may take one for another attempt at the round robin or dynamic before,
 * or for none of the sheet's until the next note is heard.
 */
final class StillWanted {
  private final List<Region> regions;
  private final List<Cell> cells;
  private final Matching matching;

  /** The cell at which each region is such an attempt; else {@link Matching#NO_CELL}. */
  private final int[] wanted;

  /**
   * Finds them.
   *
   * @param flags of all regions
   */
  StillWanted(List<Region> regions, List<Cell> cells, Matching matching, List<Set<Flag>> flags) {
    this.regions = regions;
    this.cells = cells;
    this.matching = matching;
    wanted = new int[regions.size()];
    for (int i = 0; i < wanted.length; i++) {
      wanted[i] = cellOf(i, flags);
    }
  }

  /** Whether a region is an attempt that is not used, and its note was still to be played. */
  boolean isWanted(int region) {
    return wanted[region] != Matching.NO_CELL;
  }

  /** The matching in which these are used as well, each beside the one that is. */
  Matching used() {
    int[] cellOf = matching.cells().clone();
    List<CellStatus> statuses = new ArrayList<>(matching.statuses());
    for (int i = 0; i < cellOf.length; i++) {
      if (isWanted(i)) {
        cellOf[i] = wanted[i];
        statuses.set(i, CellStatus.KEPT);
      }
    }
    return new Matching(cellOf, statuses, matching.missing(), matching.cost(), matching.breaksAt());
  }

  private int cellOf(int region, List<Set<Flag>> flags) {
    int cell = matching.cells()[region];
    boolean isWanted =
        switch (matching.statuses().get(region)) {
          case RETAKE -> isToBePlayed(cell) || isReplaced(region) || isUsedOneFlawed(region, flags);
          case EXTRA -> {
            cell = next(region);
            yield cell != Matching.NO_CELL;
          }
          default -> false;
        };
    return isWanted ? cell : Matching.NO_CELL;
  }

  /** Whether another attempt is used that came later: until then it was none too many. */
  boolean isReplaced(int region) {
    return matching.statuses().get(region) == CellStatus.RETAKE
        && IntStream.range(region + 1, regions.size())
            .anyMatch(
                i ->
                    matching.statuses().get(i) == CellStatus.KEPT
                        && matching.cells()[i] == matching.cells()[region]);
  }

  /**
   * The cell of a region's note at which the player is: the first that is missing behind the last
   * one that is filled before; {@link Matching#NO_CELL} if that is another note.
   */
  private int next(int region) {
    int last =
        IntStream.range(0, region)
            .map(i -> Math.max(matching.cells()[i], wanted[i]))
            .max()
            .orElse(Matching.NO_CELL);
    return matching.missing().stream()
        .filter(open -> open > last)
        .findFirst()
        .filter(open -> isNote(region, open))
        .orElse(Matching.NO_CELL);
  }

  private boolean isNote(int region, int cell) {
    Pitch pitch = regions.get(region).pitch();
    return pitch != null && Objects.equals(cells.get(cell).midi(), pitch.midi());
  }

  /** Whether a cell of the same note is missing, at any dynamic. */
  private boolean isToBePlayed(int cell) {
    Integer midi = cells.get(cell).midi();
    return matching.missing().stream().anyMatch(c -> Objects.equals(cells.get(c).midi(), midi));
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
