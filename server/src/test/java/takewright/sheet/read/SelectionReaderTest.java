package takewright.sheet.read;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.diagnosis.SettingException;
import takewright.sheet.Sheet;
import takewright.sheet.cell.CellSelection;

/** Which cells of a sheet a person means. */
class SelectionReaderTest {
  @TempDir Path folder;
  private Sheet sheet;

  /** 3 notes, 2 dynamics and 2 round robins make 12 cells; 2 and 3 more. */
  @BeforeEach
  void read() throws IOException {
    String text =
        """
        library: Larkfell
        takes:
          - {file: a.wav, articulation: long, notes: A3..B3, dynamics: [p, very f], round_robins: 2}
          - {file: b.wav, articulation: long bow, notes: [A3, C4]}
          - {file: c.wav, articulation: tap, kind: unpitched, round_robins: 3}
        """;
    sheet = SheetReader.read(Files.writeString(folder.resolve("sheet.yaml"), text));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "''|17",
        "long|12",
        "long bow|2",
        "A3|5",
        "A3 long bow|1",
        "A3..B3 long|12",
        "A3 B3 very f|4",
        "rr2|7",
        "RR2 rr3|8",
        "long p A#3 rr2|1",
        "tap rr3, long bow|3",
        "tap, A3|8",
        "p long|6",
      })
  void wordsSayWhatCellsAre(String text, int cells) {
    CellSelection selection = SelectionReader.read(text, sheet);
    assertEquals(cells, sheet.cells().stream().filter(selection::fits).count());
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "tip|round robin of the sheet; did you mean tap?",
        "A3,|\"\", which is no",
        "long, loud|\"loud\"",
        "tap A3|selects no cell of the sheet: \"tap A3\"",
        "rr9|selects no cell",
      })
  void whatIsNoCellIsRefused(String text, String says) {
    SettingException e =
        assertThrows(SettingException.class, () -> SelectionReader.read(text, sheet));
    assertEquals("only", e.problem().field());
    assertTrue(e.getMessage().contains(says), e.getMessage());
  }

  @Test
  void flatsAndSharpsAreTheSameNote() {
    assertEquals(
        SelectionReader.read("A#3", sheet).parts(), SelectionReader.read("Bb3", sheet).parts());
  }
}
