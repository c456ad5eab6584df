package takewright.audio;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.original.AtomicFile;
import takewright.audio.write.WavWriter;
import takewright.testing.RecordingFiles;

/**
 * What is written is flushed to the disk before it gets its name, and the folder after it: else a
 * loss of power may leave a whole name with half a file under it (POSIX lets rename reach the disk
 * before the content; fsync(2), rename(2)).
 */
class FlushedBeforeNamedTest {
  @TempDir Path folder;

  private final RecordingFiles files = new RecordingFiles();

  /** The steps, with the temporary name's random part left out. */
  private List<String> steps() {
    return files.done().stream().map(step -> step.replaceAll("\\.[0-9a-f]{8}\\.", ".*.")).toList();
  }

  private void assertFlushed(String name) {
    String folderName = folder.getFileName().toString();
    assertEquals(
        List.of(
            "write " + name + ".*.part",
            "force " + name + ".*.part",
            "rename " + name + ".*.part to " + name,
            "force " + folderName),
        steps());
  }

  @Test
  void anyFile() throws IOException {
    byte[] content = "A3;57\n".getBytes(StandardCharsets.UTF_8);
    AtomicFile.write(files.path(folder.resolve("map.csv")), content);
    assertFlushed("map.csv");
    assertEquals("A3;57\n", Files.readString(folder.resolve("map.csv")));
  }

  @Test
  void aSample() throws IOException {
    Path file = files.path(folder.resolve("a.wav"));
    WavWriter.write(file, Clip.of(48_000, new float[48_000]), 24, WavChunks.NONE);
    assertFlushed("a.wav");
    assertTrue(Files.size(folder.resolve("a.wav")) > 3 * 48_000);
  }
}
