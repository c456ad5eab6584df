package takewright.cli.show;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.util.List;
import org.junit.jupiter.api.Test;
import takewright.v1.Cell;
import takewright.v1.CellsMissing;
import takewright.v1.Flag;
import takewright.v1.NoteHeard;
import takewright.v1.NoteStatus;
import takewright.v1.NoteVerdict;
import takewright.v1.Pitch;

/** What a followed session looks like, in a terminal and in a file. */
class FollowDisplayTest {
  private static final int RATE = 48_000;

  private final ByteArrayOutputStream said = new ByteArrayOutputStream();

  private FollowDisplay display(boolean isTerminal, int width) {
    PrintStream out = new PrintStream(said, true, StandardCharsets.UTF_8);
    return new FollowDisplay(out, isTerminal, width, RATE);
  }

  private String said() {
    return said.toString(StandardCharsets.UTF_8);
  }

  private static Cell cell(String note, String dynamic, int rr) {
    return Cell.newBuilder().setNote(note).setDynamic(dynamic).setRr(rr).build();
  }

  private static NoteHeard note(int number, String note, NoteVerdict verdict, Flag... flags) {
    return NoteHeard.newBuilder()
        .setNumber(number)
        .setOnsetFrame((long) number * RATE)
        .setNote(note)
        .setPitch(Pitch.newBuilder().setCents(-7.6))
        .setStatus(NoteStatus.NOTE_STATUS_KEPT)
        .setVerdict(verdict)
        .setCell(cell(note, "f", 2))
        .addAllFlags(List.of(flags))
        .build();
  }

  private static CellsMissing missing(Cell... cells) {
    return CellsMissing.newBuilder().addAllCells(List.of(cells)).setNext(cells[0]).build();
  }

  @Test
  void aNoteHasOneLineAndAnotherOnlyWhereItChanges() {
    FollowDisplay display = display(false, 80);
    NoteHeard good = note(1, "G#3", NoteVerdict.NOTE_VERDICT_GOOD);
    display.show(good);
    display.show(good.toBuilder().setSettled(true).build());
    assertEquals(1, said().lines().count(), said());
    assertTrue(said().contains("1.00 s  G#3"), said());
    assertTrue(said().contains("-8 cents  + good     f rr2"), said());
    display.show(
        good.toBuilder()
            .setStatus(NoteStatus.NOTE_STATUS_RETAKE)
            .setCell(cell("G#3", "f", 1))
            .build());
    assertEquals(1, said().lines().count(), "another attempt has a line of its own: " + said());
    display.show(note(1, "G#3", NoteVerdict.NOTE_VERDICT_AGAIN, Flag.FLAG_CLIPPED));
    List<String> lines = said().lines().toList();
    assertEquals(2, lines.size());
    assertTrue(
        lines.get(1).contains("! again") && lines.get(1).contains("its peaks are cut off flat"),
        said());
    assertTrue(lines.get(1).endsWith("(corrected)"), said());
    NoteHeard gone = note(1, "G#3", NoteVerdict.NOTE_VERDICT_LEFT_OUT);
    display.show(gone.toBuilder().setStatus(NoteStatus.NOTE_STATUS_WITHDRAWN).build());
    assertTrue(said().lines().toList().get(2).contains("no note"), said());
  }

  /** Its verdict stays, since it is too late for another. */
  @Test
  void aNoteThatIsWithdrawnTooLateHasNoFurtherLine() {
    FollowDisplay display = display(false, 80);
    NoteHeard good = note(1, "G#3", NoteVerdict.NOTE_VERDICT_GOOD);
    NoteHeard gone = good.toBuilder().setStatus(NoteStatus.NOTE_STATUS_WITHDRAWN).build();
    display.show(good);
    display.show(gone);
    assertEquals(1, said().lines().count(), said());
    display.begin(); // all is told anew when a session is continued
    display.show(gone);
    assertTrue(said().lines().toList().get(1).contains("+ good"), said());
  }

  @Test
  void whatIsWrongIsSaidInWordsOnTheSameLineInAFile() {
    FollowDisplay display = display(false, 80);
    display.show(
        note(1, "A3", NoteVerdict.NOTE_VERDICT_AGAIN, Flag.FLAG_CLIPPED, Flag.FLAG_RINGS_ON));
    assertEquals(1, said().lines().count(), said());
    assertTrue(
        said()
            .contains(
                "f rr2  its peaks are cut off flat; "
                    + "it rings on into the next note and is cut where that note begins"),
        said());
    assertFalse(said().contains("_"), said());
  }

  @Test
  void inATerminalWhatIsWrongStandsBelowTheLineWhereItDoesNotFit() {
    FollowDisplay wide = display(true, 120);
    wide.show(note(1, "A3", NoteVerdict.NOTE_VERDICT_AGAIN, Flag.FLAG_CLIPPED));
    assertTrue(said().endsWith("f rr2  its peaks are cut off flat\n"), said());
    said.reset();
    int width = 60;
    display(true, width)
        .show(note(1, "A3", NoteVerdict.NOTE_VERDICT_LISTEN, Flag.FLAG_RINGS_ON, Flag.FLAG_NOISY));
    List<String> lines = said().lines().toList();
    assertTrue(lines.get(0).endsWith("f rr2"), said());
    assertEquals(
        List.of(
            "      it rings on into the next note and is cut where that",
            "      note begins",
            "      it is less than 20 dB above the room's noise"),
        lines.subList(1, lines.size()));
    assertTrue(lines.stream().allMatch(line -> line.length() <= width), said());
  }

  @Test
  void inAFileWhatIsMissingIsSaidOnceAtTheEndByNote() {
    FollowDisplay display = display(false, 80);
    display.show(missing(cell("A3", "p", 1), cell("A3", "f", 2), cell("C4", "f", 1)));
    display.show(note(1, "B3", NoteVerdict.NOTE_VERDICT_GOOD));
    assertFalse(said().contains("missing"), said());
    display.end();
    assertTrue(said().endsWith("missing 3, next A3 p rr1: A3 p rr1, f rr2; C4 f rr1\n"), said());
    assertFalse(said().contains("\u001b"), "no control sequences in a file");
    assertEquals(3, display.missing());
  }

  /** ECMA-48: CUU moves up, ED with no number erases to the end of the screen. */
  @Test
  void inATerminalWhatIsMissingStandsBelowTheLines() {
    int width = 30;
    FollowDisplay display = display(true, width);
    display.show(
        missing(cell("A3", "p", 1), cell("B3", "p", 1), cell("C4", "p", 1), cell("D4", "p", 1)));
    String block = said();
    long height = block.lines().count();
    assertTrue(height > 1, block);
    assertTrue(block.lines().allMatch(line -> line.length() < width), block);
    said.reset();
    display.show(note(1, "A3", NoteVerdict.NOTE_VERDICT_GOOD));
    assertTrue(said().startsWith("\u001b[" + height + "A\u001b[J  1 "), said());
    assertTrue(said().endsWith(block), "the block stands again below the note");
  }
}
