package takewright.library.take;

import java.io.IOException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Reason;
import takewright.sheet.Take;

/**
 * The sizes and times of takes, which must stay what they were when the build began: half of the
 * samples from one recording and half from another would fit nowhere.
 */
public final class Stamps {
  private final Map<Path, String> first = new ConcurrentHashMap<>();

  /**
   * Checks a take's files, for the first time or again.
   *
   * @throws FileSystemException if one is gone or has changed since
   */
  public void check(Take take) throws IOException {
    for (Path file : take.paths()) {
      check(file);
    }
  }

  /** Checks all files again. */
  public void checkAll() throws IOException {
    for (Path file : first.keySet()) {
      check(file);
    }
  }

  private void check(Path file) throws IOException {
    String now;
    try {
      now = Files.size(file) + ":" + Files.getLastModifiedTime(file).toMillis();
    } catch (NoSuchFileException e) {
      boolean wasThere = first.containsKey(file);
      throw new FileProblemException(
          Reason.NOT_THERE,
          file.toString(),
          wasThere ? "was taken away while it was built from" : "does not exist",
          wasThere ? "put it back" : "check the name in the sheet");
    }
    String before = first.putIfAbsent(file, now);
    if (before != null && !before.equals(now)) {
      throw new FileProblemException(
          Reason.NOT_NOW, file.toString(), "was changed while it was built from", "build again");
    }
  }
}
