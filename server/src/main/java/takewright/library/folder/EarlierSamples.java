package takewright.library.folder;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import takewright.audio.original.CheckedFile;

/**
 * The samples of the last finished build that the present one replaces or no longer has. They stay
 * until the build after it begins; an interrupted build adds to them when it goes on.
 */
final class EarlierSamples {
  private final Path library;
  private final Path folder;

  /** Those of a library. */
  EarlierSamples(Path library) {
    this.library = library;
    folder = library.resolve(Changes.BEFORE);
  }

  /** Begins anew, unless the last build was interrupted. */
  void begin() throws IOException {
    if (!Changes.clear(library) || !Files.exists(folder)) {
      return;
    }
    List<Path> old;
    try (Stream<Path> files = Files.walk(folder)) {
      old = files.filter(Files::isRegularFile).toList();
    }
    for (Path file : old) {
      CheckedFile.delete(file);
    }
  }

  /**
   * Keeps a sample that will be replaced or removed, unless there is an earlier one of its name.
   */
  void keep(String name) throws IOException {
    Path kept = folder.resolve(name);
    if (Files.exists(kept)) {
      return;
    }
    Files.createDirectories(kept.getParent());
    try {
      // The file that takes its place is a new one, so that the bytes need not be copied.
      Files.createLink(kept, library.resolve(name));
    } catch (UnsupportedOperationException | IOException e) {
      Files.copy(library.resolve(name), kept);
    }
  }

  /** Whether the sample of a name was replaced or removed. */
  boolean has(String name) {
    return Files.exists(folder.resolve(name));
  }
}
