package takewright.audio.original;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.file.FileSystemException;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;

class CheckedFileTest {
  /** Linux has a file that behaves like one on a full disk (full(4)). */
  @Test
  @EnabledOnOs(OS.LINUX)
  void whoeverWritesOnAFullDiskLearnsWhere() throws IOException {
    Path file = Path.of("/dev/full");
    try (FileChannel channel = FileChannel.open(file, StandardOpenOption.WRITE)) {
      FileSystemException full =
          assertThrows(
              FileSystemException.class,
              () -> CheckedFile.write(file, channel, ByteBuffer.allocate(1)));
      assertEquals("/dev/full", full.getFile());
      assertEquals("No space left on device", full.getReason());
    }
  }

  /** In proc(5) nobody, not even root, makes a file. */
  @Test
  @EnabledOnOs(OS.LINUX)
  void whoeverCannotBeginAFileLearnsItsNameAndNotATemporaryOne() {
    Path file = Path.of("/proc/takewright.csv");
    FileSystemException refused =
        assertThrows(
            FileSystemException.class, () -> AtomicFile.writeTable(file, new byte[] {'a', '\n'}));
    assertEquals(file.toString(), refused.getFile());
    refused = assertThrows(FileSystemException.class, () -> AtomicFile.requireWritable(file));
    assertEquals(file.toString(), refused.getFile());
  }
}
