package takewright.service;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.NoSuchFileException;
import java.nio.file.NotDirectoryException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import takewright.audio.OriginalFileException;
import takewright.audio.Originals;

/**
 * The folders that calls may reach. Paths are judged by where they really lead, so that neither
 * {@code ..} nor a symbolic link leads out; what lies outside is refused alike whether it is there
 * or not.
 */
final class GrantedFolders {
  /** Real paths; null grants everything that the user may reach. */
  private final List<Path> roots;

  private GrantedFolders(List<Path> roots) {
    this.roots = roots;
  }

  /** Everything, for a server that only this process can reach. */
  static GrantedFolders everything() {
    return new GrantedFolders(null);
  }

  /**
   * These folders and what is in them.
   *
   * @throws NoSuchFileException if one does not exist
   * @throws NotDirectoryException where one is no folder
   */
  static GrantedFolders of(List<Path> folders) throws IOException {
    List<Path> roots = new ArrayList<>();
    for (Path folder : folders) {
      Path real = folder.toRealPath();
      if (!Files.isDirectory(real)) {
        throw new NotDirectoryException(folder.toString());
      }
      roots.add(real);
    }
    return new GrantedFolders(List.copyOf(roots));
  }

  /** The real paths of the folders; empty where everything is granted. */
  List<Path> roots() {
    return roots == null ? List.of() : roots;
  }

  /** The real path of a file to read; {@code field} names it in errors. */
  Path fileToRead(String field, String path) throws IOException {
    Path real = resolve(field, path);
    if (!Files.exists(real)) {
      throw Refusal.notFound("`" + field + "`: " + path + " does not exist: correct the path");
    }
    if (!Files.isRegularFile(real)) {
      throw Refusal.invalid("`" + field + "`: " + path + " is not a plain file: name one");
    }
    return real;
  }

  /**
   * The real path of a file to write. Its folder is there; a file of the name is there only with
   * {@code replace}, and only one of Takewright's own.
   */
  Path fileToWrite(String field, String path, boolean replace) throws IOException {
    Path real = resolve(field, path);
    if (Files.exists(real)) {
      if (!Files.isRegularFile(real)) {
        throw Refusal.invalid("`" + field + "`: " + path + " is not a plain file: name one");
      }
      if (!replace) {
        throw Refusal.exists(
            "`" + field + "`: " + path + " exists already: choose another name, or set `replace`");
      }
      try {
        Originals.requireReplaceable(real);
      } catch (OriginalFileException e) {
        throw Refusal.exists("`" + field + "`: " + path + ": " + e.getReason());
      }
    } else if (!Files.isDirectory(real.getParent())) {
      throw Refusal.notFound(
          "`" + field + "`: the folder of " + path + " does not exist: create it first");
    }
    return real;
  }

  /** The real path of a file to write that does not exist YET. */
  Path newFile(String field, String path) throws IOException {
    Path real = resolve(field, path);
    if (Files.exists(real)) {
      throw Refusal.exists(
          "`" + field + "`: " + path + " exists already: move it away, or choose another name");
    }
    return fileToWrite(field, path, false);
  }

  /** The real path of a folder to write to, which need not be there yet. */
  Path folderToWrite(String field, String path) throws IOException {
    Path real = resolve(field, path);
    if (Files.exists(real) && !Files.isDirectory(real)) {
      throw Refusal.invalid("`" + field + "`: " + path + " is not a folder: name one");
    }
    return real;
  }

  /** Refuses a file that another file, the field's, names and that lies outside. */
  void mayReach(String field, Path named) throws IOException {
    resolve(field, named.toAbsolutePath().toString());
  }

  private Path resolve(String field, String path) throws IOException {
    if (path.isEmpty()) {
      throw Refusal.invalid("`" + field + "` is empty: give an absolute path");
    }
    Path given;
    try {
      given = Path.of(path);
    } catch (InvalidPathException e) {
      throw Refusal.invalid(
          "`" + field + "` is not a path (" + e.getReason() + "): give an absolute one");
    }
    if (!given.isAbsolute()) {
      throw Refusal.invalid("`" + field + "` must be an absolute path, not " + path);
    }
    Path real = real(field, given);
    if (roots != null && roots.stream().noneMatch(real::startsWith)) {
      throw outside(field, path);
    }
    return real;
  }

  /** The real path of the deepest part that is there, and below it the names that are not. */
  private Path real(String field, Path path) throws IOException {
    Path there = path;
    while (true) {
      try {
        Path real = there.toRealPath();
        for (Path name : there.relativize(path)) {
          if (name.toString().equals("..")) {
            throw outside(field, path.toString());
          }
          if (!name.toString().equals(".")) {
            real = real.resolve(name);
          }
        }
        return real;
      } catch (NoSuchFileException e) {
        if (Files.isSymbolicLink(there)) {
          throw outside(field, path.toString());
        }
        there = there.getParent();
        if (there == null) {
          throw e;
        }
      }
    }
  }

  private static RuntimeException outside(String field, String path) {
    return Refusal.denied(
        "`"
            + field
            + "`: "
            + path
            + " is outside the granted folders: start the service with --allow FOLDER");
  }
}
