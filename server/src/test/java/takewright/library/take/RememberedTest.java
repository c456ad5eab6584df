package takewright.library.take;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertSame;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Recording;
import takewright.report.PlantedSession;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.read.SheetReader;

/** What was found in a recording is found again without reading it, as long as it is the same. */
class RememberedTest {
  @TempDir Path folder;

  @Test
  void theSameQuestionAboutTheSameFilesIsAnsweredFromMemory() throws IOException {
    Path file = Files.writeString(folder.resolve("a"), "one");
    Recording recording = Recording.of(file);
    Remembered<String> memory = new Remembered<>(2);
    assertEquals("first", memory.get(recording, 1, () -> "first"));
    assertEquals("first", memory.get(recording, 1, () -> "second"));
    assertEquals("other", memory.get(recording, 2, () -> "other"));
    // A file that was written again is heard again.
    Files.setLastModifiedTime(file, FileTime.fromMillis(1_000_000_000_000L));
    assertEquals("third", memory.get(recording, 1, () -> "third"));
    Files.writeString(file, "longer");
    Files.setLastModifiedTime(file, FileTime.fromMillis(1_000_000_000_000L));
    assertEquals("fourth", memory.get(recording, 1, () -> "fourth"));
    // Two are remembered; the one not asked for longest is forgotten.
    assertEquals("fifth", memory.get(recording, 5, () -> "fifth"));
    assertEquals("sixth", memory.get(recording, 6, () -> "sixth"));
    assertEquals("again", memory.get(recording, 1, () -> "again"));
  }

  @Test
  void aTakeIsCutOnceUntilItsFileOrItsSettingsChange() throws IOException {
    Sheet sheet = SheetReader.read(PlantedSession.write(folder));
    Take take = sheet.takes().get(0);
    TakeHeard first = CutTake.cut(sheet, take, () -> false);
    assertSame(first.segmentation(), CutTake.cut(sheet, take, () -> false).segmentation());
    Path text = folder.resolve("sheet.yaml");
    Files.writeString(text, Files.readString(text) + "    lead_in_ms: 30\n");
    Sheet other = SheetReader.read(text);
    assertNotEquals(
        first.segmentation().regions().get(0).start(),
        CutTake.cut(other, other.takes().get(0), () -> false)
            .segmentation()
            .regions()
            .get(0)
            .start());
    for (Path file : take.paths()) {
      Files.setLastModifiedTime(file, FileTime.fromMillis(1_000_000_000_000L));
    }
    TakeHeard again = CutTake.cut(sheet, take, () -> false);
    assertEquals(first.segmentation().regions(), again.segmentation().regions());
    assertEquals(List.of(take), List.of(again.take()));
  }
}
