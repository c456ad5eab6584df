package takewright.library.match;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.read.SheetReader;

class PlayedOrderTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;
  private final List<Region> regions = new ArrayList<>();
  private final SplittableRandom random = new SplittableRandom(4);
  private long at = 3 * RATE;

  /** A sheet of eight notes at two dynamics, two round robins each; invented. */
  private Sheet sheet(String more) throws IOException {
    return SheetReader.read(
        Files.writeString(
            folder.resolve("sheet.yaml"),
            """
            library: Larkfell
            takes:
              - file: sustain.wav
                articulation: sustain
                notes: C4..G4
                dynamics: [p, f]
                round_robins: 2
            """
                + more));
  }

  /** Three seconds of a note, p at -26 dBFS or f at -16, two dB up or down, and a pause of two. */
  private void play(int midi, String dynamic) {
    double level = (dynamic.equals("p") ? -26 : -16) + random.nextDouble(-2, 2);
    Pitch pitch = new Pitch(midi, random.nextDouble(-30, 30), 440, 1);
    regions.add(
        new Region(
            at,
            at + 480,
            at + 3L * RATE,
            Kind.PITCHED,
            pitch,
            1,
            false,
            Set.of(),
            level + 8,
            level));
    at += 5L * RATE;
  }

  private void play(List<Cell> cells) {
    cells.forEach(cell -> play(cell.midi(), cell.dynamic()));
  }

  private SheetProblem doubt(Sheet sheet) {
    Take take = sheet.takes().get(0);
    Matching own = TakeAlignment.match(regions, sheet.cells(take), RATE);
    return PlayedOrder.doubt(sheet, take, regions, own, RATE);
  }

  @Test
  void whatWasPlayedAsPlannedRaisesNoDoubt() throws IOException {
    Sheet sheet = sheet("");
    play(sheet.cells());
    assertNull(doubt(sheet));
  }

  @Test
  void missingNotesAndRetakesRaiseNone() throws IOException {
    Sheet sheet = sheet("");
    List<Cell> cells = new ArrayList<>(sheet.cells());
    cells.remove(25);
    cells.remove(14);
    cells.remove(13);
    cells.remove(4);
    cells.add(9, cells.get(9));
    cells.add(20, cells.get(20));
    play(cells);
    assertNull(doubt(sheet));
    regions.clear();
    play(sheet.cells().subList(0, 12));
    assertNull(doubt(sheet), "a take that was broken off");
  }

  @Test
  void dynamicsSlowestIsRecognised() throws IOException {
    play(sheet("    order: [dynamic, note, rr]\n").cells());
    assertEquals(
        "`order` of sustain.wav is [note, dynamic, rr], which does not fit what was played from"
            + " 13.0 s on; if it was played so, change `order` to [dynamic, note, rr], which would"
            + " fit",
        doubt(sheet("    order: [note, dynamic, rr]\n")).message());
  }

  /** Every note is there as often as asked for; only the levels tell that the order is another. */
  @Test
  void roundRobinsSlowerThanDynamicsAreRecognisedByLevel() throws IOException {
    play(sheet("    order: [note, rr, dynamic]\n").cells());
    SheetProblem doubt = doubt(sheet(""));
    assertEquals(3, doubt.line(), "the sheet says no order, so the take's line");
    assertTrue(
        doubt.message().endsWith("set `order` to [note, rr, dynamic], which would fit"),
        doubt.message());
  }

  @Test
  void notesPlayedDownwardsAreRecognised() throws IOException {
    for (int midi = 67; midi >= 60; midi--) {
      for (String dynamic : List.of("p", "p", "f", "f")) {
        play(midi, dynamic);
      }
    }
    assertTrue(
        doubt(sheet(""))
            .message()
            .endsWith("if it was played so, turn `notes` round, which would fit"));
  }

  @Test
  void aTakeThatFitsNoOrderIsSaidToo() throws IOException {
    for (int midi : new int[] {40, 83, 45, 78, 50, 41, 85, 90, 76, 44, 77, 51, 42, 84, 46, 79}) {
      play(midi, "p");
      play(midi, "f");
    }
    assertTrue(doubt(sheet("")).message().contains(", and no other order either; look at"));
  }

  /** The first half of the notes goes as planned, then the player takes dynamics slowest. */
  @Test
  void whereItStopsFittingIsSaid() throws IOException {
    Sheet sheet = sheet("");
    play(sheet.cells().subList(0, 16));
    for (String dynamic : List.of("p", "f")) {
      for (int midi = 64; midi <= 67; midi++) {
        play(midi, dynamic);
        play(midi, dynamic);
      }
    }
    Matching own = TakeAlignment.match(regions, sheet.cells(), RATE);
    assertTrue(Math.abs(own.breaksAt() - 18) <= 1, "at " + own.breaksAt());
  }
}
