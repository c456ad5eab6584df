package takewright.library.follow;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.library.match.Matching;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;
import takewright.testing.HeldTone;

/** Attempts at two notes, each played softly and loudly, and which of them are one too many. */
class StillWantedTest {
  private static final Set<Flag> GOOD = Set.of();
  private static final Set<Flag> SHORT = Set.of(Flag.ODD_LENGTH);

  private static final int SOFT = 0;
  private static final int LOUD = 1;
  private static final int NEXT_SOFT = 2;
  private static final int NEXT_LOUD = 3;

  private final List<Integer> heard = new ArrayList<>();
  private final List<Integer> cellOf = new ArrayList<>();
  private final List<CellStatus> statuses = new ArrayList<>();
  private final List<Set<Flag>> flags = new ArrayList<>();

  private StillWantedTest attempt(int cell, CellStatus status, Set<Flag> found) {
    heard.add(cell < NEXT_SOFT ? 60 : 61);
    cellOf.add(cell);
    statuses.add(status);
    flags.add(found);
    return this;
  }

  private StillWanted wanted() {
    List<Cell> cells =
        List.of(
            new Cell(0, "a", 60, "p", 1),
            new Cell(0, "a", 60, "f", 1),
            new Cell(0, "a", 61, "p", 1),
            new Cell(0, "a", 61, "f", 1));
    List<Integer> missing =
        IntStream.range(0, cells.size())
            .filter(c -> IntStream.range(0, cellOf.size()).noneMatch(i -> isUsed(i, c)))
            .boxed()
            .toList();
    int[] of = cellOf.stream().mapToInt(Integer::intValue).toArray();
    List<Region> regions = heard.stream().map(StillWantedTest::sound).toList();
    Matching matching = new Matching(of, statuses, missing, 0, 0);
    return new StillWanted(regions, cells, matching, flags);
  }

  private static Region sound(int midi) {
    Pitch pitch = Pitch.of(HeldTone.hz(midi), 440, 1);
    return new Region(0, 0, 9, Kind.PITCHED, pitch, 0.7, false, GOOD, -10, -18);
  }

  /** Whether the last attempt is wanted. */
  private boolean isLastWanted() {
    return wanted().isWanted(cellOf.size() - 1);
  }

  private boolean isUsed(int attempt, int cell) {
    return cellOf.get(attempt) == cell && statuses.get(attempt) == CellStatus.KEPT;
  }

  @Test
  void anAttemptIsWantedUntilItsNoteIsPlayedAtEachDynamic() {
    attempt(SOFT, CellStatus.KEPT, GOOD).attempt(SOFT, CellStatus.RETAKE, GOOD);
    assertEquals(true, isLastWanted());
    clear();
    attempt(SOFT, CellStatus.KEPT, GOOD).attempt(LOUD, CellStatus.KEPT, GOOD);
    attempt(LOUD, CellStatus.RETAKE, GOOD);
    assertEquals(false, isLastWanted());
    clear();
    attempt(LOUD, CellStatus.KEPT, GOOD).attempt(LOUD, CellStatus.RETAKE, GOOD);
    assertEquals(true, isLastWanted());
  }

  private void clear() {
    heard.clear();
    cellOf.clear();
    statuses.clear();
    flags.clear();
  }

  /** While the levels of the dynamics are still being learnt, the next note may fit no cell. */
  @Test
  void whatSoundsLikeTheNextNoteIsAnAttemptAtIt() {
    attempt(SOFT, CellStatus.KEPT, GOOD).attempt(LOUD, CellStatus.KEPT, GOOD);
    attempt(Matching.NO_CELL, CellStatus.EXTRA, GOOD);
    heard.set(2, 61);
    assertEquals(true, isLastWanted());
    assertEquals(List.of(0, 1, 2), IntStream.of(wanted().used().cells()).boxed().toList());
    assertEquals(CellStatus.KEPT, wanted().used().statuses().get(2));
    heard.set(2, 60);
    assertEquals(false, isLastWanted());
    heard.set(2, 62);
    assertEquals(false, isLastWanted());
    assertEquals(CellStatus.EXTRA, wanted().used().statuses().get(2));
  }

  /** The second ear may hear an attempt only when the next one has come already. */
  @Test
  void anAttemptThatALaterOneReplacesWasNoSurplus() {
    attempt(SOFT, CellStatus.KEPT, GOOD).attempt(LOUD, CellStatus.RETAKE, SHORT);
    attempt(LOUD, CellStatus.KEPT, GOOD);
    assertEquals(true, wanted().isWanted(1));
    assertEquals(true, wanted().isReplaced(1));
    statuses.set(1, CellStatus.KEPT);
    statuses.set(2, CellStatus.RETAKE);
    flags.set(1, GOOD);
    assertEquals(false, wanted().isWanted(2));
    assertEquals(false, wanted().isReplaced(2));
  }

  /** A loud one that was broken off: what follows it may be matched as one more soft one. */
  @Test
  void anAttemptIsWantedWhileOneThatIsUsedIsFlawedAtAnyDynamic() {
    attempt(SOFT, CellStatus.KEPT, GOOD).attempt(LOUD, CellStatus.KEPT, SHORT);
    attempt(SOFT, CellStatus.RETAKE, GOOD);
    assertEquals(true, isLastWanted());
    flags.set(1, GOOD);
    assertEquals(false, isLastWanted());
  }

  @Test
  void anAttemptAtTheLastNoteIsOneTooMany() {
    for (int cell = 0; cell < 4; cell++) {
      attempt(cell, CellStatus.KEPT, GOOD);
    }
    assertEquals(false, isLastWanted());
    attempt(NEXT_LOUD, CellStatus.RETAKE, GOOD);
    assertEquals(false, isLastWanted());
  }
}
