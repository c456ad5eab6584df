package takewright.library;

import java.io.IOException;
import java.nio.file.DirectoryNotEmptyException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.stream.Stream;
import takewright.audio.original.CheckedFile;

/**
 * An output folder that may not have existed before a build: where nothing comes of the build, what
 * it put there is taken away again.
 */
public final class FreshFolder {
  /** The folder and those of its parents that did not exist, innermost first. */
  private final List<Path> missing = new ArrayList<>();

  private final Path folder;

  /** Remembers what exists now, before the build. */
  public FreshFolder(Path folder) {
    this.folder = folder.toAbsolutePath().normalize();
    for (Path at = this.folder; at != null && !Files.exists(at); at = at.getParent()) {
      missing.add(at);
    }
  }

  /**
   * Removes a part of the folder with all that is in it, and the folder once it is empty. Does
   * nothing if the folder existed before.
   *
   * @param part a folder in it that the build made
   */
  public void remove(String part) throws IOException {
    if (missing.isEmpty()) {
      return;
    }
    Path own = folder.resolve(part);
    if (Files.exists(own)) {
      List<Path> all;
      try (Stream<Path> files = Files.walk(own)) {
        all = files.sorted(Comparator.reverseOrder()).toList();
      }
      for (Path file : all) {
        if (Files.isDirectory(file, LinkOption.NOFOLLOW_LINKS)) {
          Files.deleteIfExists(file);
        } else {
          CheckedFile.delete(file);
        }
      }
    }
    try {
      for (Path empty : missing) {
        Files.deleteIfExists(empty);
      }
    } catch (DirectoryNotEmptyException e) {
      // Somebody else has put something there.
    }
  }
}
