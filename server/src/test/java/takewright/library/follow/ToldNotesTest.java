package takewright.library.follow;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.library.follow.Follow.Note;
import takewright.pitch.Kind;
import takewright.segment.LiveSegment.Ear;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/** Notes that a later ear no longer hears. */
class ToldNotesTest {
  private static final int RATE = 100;
  private static final Cell CELL = new Cell(0, "sustain", 60, "f", 1);

  private final ToldJudgements told = new ToldJudgements(RATE);
  private final ToldNotes notes = new ToldNotes(told);

  /** A note of a second, told as it ends. */
  private Note note(int number, int startS) {
    long start = (long) startS * RATE;
    Region region =
        new Region(start, start, start + RATE, Kind.PITCHED, null, 1, false, Set.of(), -10, -18);
    Judgement good =
        told.say(number, region.end(), CellStatus.KEPT, Set.of(), Set.of(), Ear.SOON, region.end());
    return new Note(number, region, CELL, CellStatus.KEPT, false, Set.of(), good);
  }

  @Test
  void oneThatIsTakenBackInTimeGoes() {
    Note one = note(1, 4);
    assertEquals(List.of(one), notes.update(List.of(one), 5 * RATE, false));
    assertEquals(List.of(), notes.update(List.of(one), 6 * RATE, false), "nothing has changed");

    List<Note> changed = notes.update(List.of(), 25 * RATE, false);
    assertEquals(1, changed.size());
    assertEquals(CellStatus.MISSING, changed.get(0).status());
    assertEquals(Judgement.LEFT_OUT, changed.get(0).judgement());
    assertFalse(notes.contains(1));
    assertEquals(List.of(), notes.inOrder());
    assertEquals(List.of(), notes.update(List.of(), 26 * RATE, false));
  }

  /** Its cell is empty again; nobody is told anything else of it, and at the end it is gone. */
  @Test
  void oneThatIsTakenBackLaterStaysAsItWasSaid() {
    Note one = note(1, 4);
    notes.update(List.of(one), 5 * RATE, false);
    Note next = note(2, 8);
    Note gone = notes.update(List.of(next), 25 * RATE + 1, false).get(1);
    assertEquals(CellStatus.MISSING, gone.status());
    assertEquals(Judgement.GOOD, gone.judgement());
    assertNull(gone.cell());
    assertTrue(gone.isSettled());
    assertEquals(List.of(gone, next), notes.inOrder(), "in the order of the take");
    assertEquals(List.of(), notes.update(List.of(next), 26 * RATE, false), "it is told once");

    assertEquals(List.of(), notes.update(List.of(next), 40 * RATE, true));
    assertEquals(List.of(next), notes.inOrder());
  }
}
