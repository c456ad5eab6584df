package takewright.library.folder;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.channels.OverlappingFileLockException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.FileProblemException;

class FolderLockTest {
  @TempDir Path folder;

  @Test
  void aLockIsTakenOnceUntilItIsReleased() throws IOException {
    Path file = folder.resolve("lock");
    FolderLock lock = FolderLock.take(folder, file);
    FileProblemException taken =
        assertThrows(FileProblemException.class, () -> FolderLock.take(folder, file));
    assertEquals(
        folder
            + ": is being written to by another build; wait for it to end, or choose another"
            + " folder",
        taken.getMessage());
    lock.close();
    FolderLock.take(folder, file).close();
  }

  /** A service lives long: each attempt would cost it a file descriptor. */
  @Test
  @EnabledOnOs(OS.LINUX)
  void aFileThatCannotBeLockedIsNotLeftOpen() throws IOException {
    Path file = folder.toRealPath().resolve("lock");
    try (FileChannel other =
        FileChannel.open(file, StandardOpenOption.CREATE, StandardOpenOption.WRITE)) {
      other.lock();
      assertThrows(OverlappingFileLockException.class, () -> FolderLock.take(folder, file));
      assertEquals(1, openings(file));
    }
  }

  /** How many descriptors of this process lead to a file (proc_pid_fd(5)). */
  private static long openings(Path file) throws IOException {
    try (Stream<Path> descriptors = Files.list(Path.of("/proc/self/fd"))) {
      return descriptors.filter(descriptor -> leadsTo(descriptor, file)).count();
    }
  }

  private static boolean leadsTo(Path descriptor, Path file) {
    try {
      return Files.readSymbolicLink(descriptor).equals(file);
    } catch (IOException e) {
      return false; // closed meanwhile
    }
  }
}
