package takewright.library.folder;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.attribute.FileTime;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ChecksumsTest {
  @TempDir Path folder;
  private Path file;

  @BeforeEach
  void real() throws IOException {
    folder = folder.toRealPath();
    file = folder.resolve("sample.wav");
  }

  /** The check value of CRC-32 (ISO 3309), as its catalogues give it. */
  @Test
  void theCheckValueOfTheStandard() throws IOException {
    Files.writeString(file, "123456789");
    assertEquals(0xCBF43926L, Checksums.of(file));
  }

  /** As an editor leaves it that keeps length and time. */
  @Test
  void aChangeOfTheSameLengthAndTimeIsSeen() throws IOException, InterruptedException {
    Files.writeString(file, "123456789");
    FileTime time = FileTime.fromMillis(System.currentTimeMillis() - 60_000);
    Files.setLastModifiedTime(file, time);
    Thread.sleep(150);
    long before = Checksums.of(file);
    assertEquals(before, Checksums.of(file));
    Files.writeString(file, "123456780");
    Files.setLastModifiedTime(file, time);
    assertNotEquals(before, Checksums.of(file));
    Thread.sleep(150);
    long after = Checksums.of(file);
    Path other = Files.writeString(folder.resolve("other"), "023456789");
    Files.setLastModifiedTime(other, time);
    Files.move(other, file, StandardCopyOption.REPLACE_EXISTING);
    assertNotEquals(after, Checksums.of(file));
  }

  /** Changes that follow each other more closely than the system's clock ticks. */
  @Test
  void changesInOneMomentAreSeen() throws IOException {
    for (int i = 0; i < 200; i++) {
      byte[] bytes = String.format("%09d", i).getBytes(StandardCharsets.US_ASCII);
      Files.write(file, bytes);
      java.util.zip.CRC32 crc = new java.util.zip.CRC32();
      crc.update(bytes);
      assertEquals(crc.getValue(), Checksums.of(file));
    }
  }
}
