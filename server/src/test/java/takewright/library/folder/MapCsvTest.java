package takewright.library.folder;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.FileProblemException;
import takewright.map.Zone;
import takewright.name.NoteNames;

/** A key map that a person may have edited. */
class MapCsvTest {
  private static final Zone ZONE =
      new Zone(
          "a.wav", "sustain", "close", "f", 60, 58, 62, 1, 127, 1, 1, 0, 100L, 5000L, 40, null);

  @TempDir Path folder;

  /** Reads the map of one zone after an edit of its text. */
  private List<Zone> read(String from, String to) throws IOException {
    String text = new String(MapCsv.write(List.of(ZONE), NoteNames.DEFAULTS));
    Files.writeString(folder.resolve(MapCsv.FILE), text.replace(from, to));
    return MapCsv.read(folder).zones();
  }

  @Test
  void whatIsWrittenIsRead() throws IOException {
    assertEquals(List.of(ZONE), read("", ""));
    assertEquals(5000L, read(",100,5000,", ",5000,5000,").get(0).loopStart());
  }

  /** Whoever reads the map names notes as the library does. */
  @Test
  void theSpellingOfTheLibraryIsRead() throws IOException {
    NoteNames names = new NoteNames(3, true, "#");
    Zone flat =
        new Zone(
            "b.wav", "sustain", "close", "f", 63, 63, 63, 1, 127, 1, 1, 0, null, null, 4, null);
    Files.write(folder.resolve(MapCsv.FILE), MapCsv.write(List.of(ZONE, flat), names));
    assertEquals(names, MapCsv.read(folder).names());
    assertEquals(List.of(ZONE), read(",note,", ",spelling,"));
    assertEquals(NoteNames.DEFAULTS, MapCsv.read(folder).names());
  }

  /** A player that read one would never come to its end. */
  @Test
  void aLoopThatEndsBeforeItBeginsIsRefused() {
    for (String loop : List.of("5001,5000", "-1,5000")) {
      FileProblemException refused =
          assertThrows(
              FileProblemException.class, () -> read(",100,5000,", "," + loop + ","), loop);
      assertEquals(
          "map.csv:2: `loop_start` is "
              + loop.substring(0, loop.indexOf(','))
              + ", and the loop ends at frame 5000; build the library again",
          refused.getMessage());
    }
  }
}
