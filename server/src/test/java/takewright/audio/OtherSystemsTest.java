package takewright.audio;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.common.jimfs.Configuration;
import com.google.common.jimfs.Jimfs;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileSystem;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.marker.MarkedCopy;
import takewright.audio.marker.Marker;
import takewright.audio.marker.Markers;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.OriginalFileException;
import takewright.audio.original.PatientRename;
import takewright.audio.write.WavWriter;

/** Files on other systems' rules, as Jimfs plays them, and renames that Windows refuses. */
class OtherSystemsTest {
  @TempDir Path folder;

  private static FileSystem system(String name) {
    return Jimfs.newFileSystem(
        name.equals("windows") ? Configuration.windows() : Configuration.osX());
  }

  @ParameterizedTest
  @ValueSource(strings = {"windows", "osx"})
  void filesAreWrittenAndReplacedWhole(String name) throws IOException {
    try (FileSystem system = system(name)) {
      Path place = Files.createDirectory(system.getPath("takes"));
      float[] sound = new float[4800];
      for (int i = 0; i < sound.length; i++) {
        sound[i] = (float) (0.2 * Math.sin(0.05 * i));
      }
      Path take = place.resolve("take.wav");
      WavWriter.write(take, Clip.of(48_000, sound), 24, WavChunks.NONE);
      Path copy = place.resolve("Marked.wav");
      List<Marker> markers = List.of(new Marker(100, 2000, "A4", ""));
      MarkedCopy.write(take, copy, markers);
      // The same file on systems that ignore case, and Takewright's own.
      MarkedCopy.write(take, place.resolve("MARKED.WAV"), markers);

      assertEquals(markers, Markers.read(copy));
      try (AudioFile audio = AudioFile.open(copy)) {
        assertEquals(4800, audio.frames());
      }
      Files.write(place.resolve("mine.wav"), new byte[] {1, 2, 3});
      assertThrows(
          OriginalFileException.class,
          () -> MarkedCopy.write(take, place.resolve("MINE.WAV"), markers));
      try (var files = Files.list(place)) {
        assertEquals(3, files.count(), "nothing half-written is left");
      }
      AtomicFile.replace(place.resolve("page.html"), "one".getBytes(StandardCharsets.UTF_8));
      AtomicFile.replace(place.resolve("Page.html"), "two".getBytes(StandardCharsets.UTF_8));
      assertArrayEquals(
          "two".getBytes(StandardCharsets.UTF_8), Files.readAllBytes(place.resolve("page.html")));
    }
  }

  /** What Windows answers while another program has the file open. */
  @Test
  void aFileThatIsHeldOpenForAMomentIsReplacedAfterIt() throws IOException {
    Path file = Files.writeString(folder.resolve("page.html"), "old");
    int[] attempts = new int[1];

    PatientRename.run(
        file,
        () -> {
          if (++attempts[0] < 4) {
            throw new AccessDeniedException(file.toString());
          }
        });

    assertEquals(4, attempts[0]);
  }

  @Test
  void aFileThatStaysOpenIsSaidToBe() throws IOException {
    Path file = Files.writeString(folder.resolve("page.html"), "old");

    FileSystemException held =
        assertThrows(
            FileSystemException.class,
            () ->
                PatientRename.run(
                    file,
                    () -> {
                      throw new AccessDeniedException(file.toString());
                    }));

    assertTrue(held.getReason().contains("close it there"), held::getMessage);
    assertEquals("old", Files.readString(file));
  }

  @Test
  void whatIsWrongOtherwiseIsSaidAtOnce() {
    Path file = folder.resolve("none.html");
    NoSuchFileException gone = new NoSuchFileException(file.toString());
    int[] attempts = new int[1];

    assertSame(
        gone,
        assertThrows(
            NoSuchFileException.class,
            () ->
                PatientRename.run(
                    file,
                    () -> {
                      attempts[0]++;
                      throw gone;
                    })));
    assertEquals(1, attempts[0]);
  }
}
