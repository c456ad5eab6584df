package takewright.audio.original;

import java.io.IOException;
import java.nio.file.AtomicMoveNotSupportedException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;

/**
 * Renames a file over another. Windows does not replace a file that a program has open, as a
 * browser or a virus scanner does for a moment, so that is tried for a while.
 */
public final class PatientRename {
  private static final int ATTEMPTS = 20;

  /** Between two attempts, in milliseconds. */
  private static final int PAUSE_MS = 50;

  private PatientRename() {}

  /** One attempt. */
  public interface Attempt {
    void run() throws IOException;
  }

  static void over(Path from, Path to) throws IOException {
    run(to, () -> move(from, to));
  }

  private static void move(Path from, Path to) throws IOException {
    try {
      // Whether an atomic move replaces a file is left to the system, unless it is asked for.
      Files.move(from, to, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
    } catch (AtomicMoveNotSupportedException e) {
      Files.move(from, to, StandardCopyOption.REPLACE_EXISTING);
    }
  }

  /**
   * Moves until it succeeds, for a second at most.
   *
   * @param to the file that is replaced
   */
  public static void run(Path to, Attempt move) throws IOException {
    for (int attempt = 1; ; attempt++) {
      try {
        move.run();
        return;
      } catch (FileSystemException e) {
        boolean isHeld = !(e instanceof NoSuchFileException) && Files.isRegularFile(to);
        if (!isHeld || attempt == ATTEMPTS) {
          throw isHeld ? heldOpen(to, e) : e;
        }
        pause(to, e);
      }
    }
  }

  private static IOException heldOpen(Path file, IOException cause) {
    FileSystemException held =
        new FileSystemException(
            file.toString(),
            null,
            "cannot be replaced, as another program has it open; close it there and try again");
    held.initCause(cause);
    return held;
  }

  private static void pause(Path file, IOException cause) throws IOException {
    try {
      Thread.sleep(PAUSE_MS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw heldOpen(file, cause);
    }
  }
}
