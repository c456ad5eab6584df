package takewright.library.match;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/** Which of several attempts at a note is kept, by what went wrong in each. */
class AttemptsTest {
  private static final int RATE = 48_000;
  private static final Blemishes DISTURBED = new Blemishes(3, 20, 0);
  private static final Blemishes BEGUN_WRONG = new Blemishes(0, 0, 0.4);

  private final List<Region> regions = new ArrayList<>();
  private long at;

  private AttemptsTest played(int midi, double seconds, Blemishes blemishes) {
    long end = at + (long) (seconds * RATE);
    Pitch pitch = Pitch.of(440 * Math.pow(2, (midi - 69) / 12.0), 440, 1);
    regions.add(
        new Region(
            at, at + 480, end, Kind.PITCHED, pitch, 1, false, Set.of(), -10, -18, blemishes));
    at = end + RATE;
    return this;
  }

  private Matching matched(int roundRobins) {
    List<Cell> cells = new ArrayList<>();
    for (int midi = 60; midi <= 62; midi++) {
      for (int rr = 1; rr <= roundRobins; rr++) {
        cells.add(new Cell(0, "sustain", midi, "mf", rr));
      }
    }
    return TakeAlignment.match(regions, cells, RATE);
  }

  private static List<CellStatus> statuses(String text) {
    List<CellStatus> all = new ArrayList<>();
    for (char c : text.toCharArray()) {
      all.add(c == 'k' ? CellStatus.KEPT : CellStatus.RETAKE);
    }
    return all;
  }

  @Test
  void theLaterOfTwoCleanAttemptsIsKept() {
    played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE);
    played(62, 3, Blemishes.NONE);
    assertEquals(statuses("krkk"), matched(1).statuses());
  }

  @Test
  void aFlawedAttemptNeverTakesTheCleanOnesPlace() {
    for (Blemishes flaw : List.of(DISTURBED, BEGUN_WRONG)) {
      regions.clear();
      played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE).played(61, 3, flaw);
      played(62, 3, Blemishes.NONE);
      Matching matching = matched(1);
      assertEquals(statuses("kkrk"), matching.statuses());
      Flag told = flaw == DISTURBED ? Flag.DISTURBED : Flag.WRONG_START;
      assertTrue(matching.marked(regions).get(2).flags().contains(told));
    }
  }

  @Test
  void aNoteBrokenOffAfterACleanOneIsLeftOut() {
    played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE).played(61, 1, Blemishes.NONE);
    played(62, 3, Blemishes.NONE);
    assertEquals(statuses("kkrk"), matched(1).statuses());
  }

  /** Round robins are alike: the flawed one is left out whichever of them it was played for. */
  @Test
  void theCleanOnesFillTheRoundRobins() {
    for (int midi = 60; midi <= 62; midi++) {
      played(midi, 3, midi == 61 ? DISTURBED : Blemishes.NONE).played(midi, 3, Blemishes.NONE);
      if (midi == 61) {
        played(midi, 3, Blemishes.NONE);
      }
    }
    assertEquals(statuses("kkrkkkk"), matched(2).statuses());
  }

  @Test
  void aFlawedAttemptThatIsTheOnlyOneIsKeptAndFlagged() {
    played(60, 3, Blemishes.NONE).played(61, 3, DISTURBED).played(62, 3, Blemishes.NONE);
    Matching matching = matched(1);
    assertEquals(statuses("kkk"), matching.statuses());
    List<Region> marked = matching.marked(regions);
    assertTrue(marked.get(1).flags().contains(Flag.DISTURBED));
    assertEquals(Set.of(), marked.get(0).flags());
  }
}
