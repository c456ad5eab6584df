package takewright.library.folder;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.CheckedFile;

/**
 * The samples of the last finished build that the present one replaces or no longer has. They stay
 * until the build after it begins; an interrupted build adds to them when it goes on.
 */
final class EarlierSamples {
  /**
   * The table as it was, relative to the library; empty if there was none. It is there from the
   * beginning of a build to its very end, page and all.
   */
  private static final String TABLE = ".takewright/before.csv";

  private final Path library;
  private final Path folder;

  /** Those of a library. */
  EarlierSamples(Path library) {
    this.library = library;
    folder = library.resolve(Changes.BEFORE);
  }

  /** Begins anew, unless the last build was interrupted. */
  void begin() throws IOException {
    Changes.clear(library);
    Path before = library.resolve(TABLE);
    if (Files.exists(before)) {
      return;
    }
    Path index = library.resolve(OutputFolder.INDEX);
    AtomicFile.replace(before, Files.exists(index) ? CheckedFile.content(index) : new byte[0]);
    if (!Files.exists(folder)) {
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
    CheckedFile.createFolders(kept.getParent());
    try {
      // The file that takes its place is a new one, so that the bytes need not be copied.
      Files.createLink(kept, library.resolve(name));
    } catch (UnsupportedOperationException | IOException e) {
      AtomicFile.replace(kept, CheckedFile.content(library.resolve(name)));
    }
  }

  /** The table as it was; null if there was none. */
  List<IndexRow> table() throws IOException {
    Path before = library.resolve(TABLE);
    if (Files.size(before) == 0) {
      return null;
    }
    try {
      return IndexCsv.read(before);
    } catch (IOException e) {
      // A person has written it anew; all samples count as new.
      return List.of();
    }
  }

  /** The build has ended, and its page with it. */
  static void end(Path library) throws IOException {
    CheckedFile.delete(library.resolve(TABLE));
  }

  /** Whether the sample of a name was replaced or removed. */
  boolean has(String name) {
    return Files.exists(folder.resolve(name));
  }
}
