package takewright.service.access;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.NoSuchFileException;
import java.nio.file.NotDirectoryException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import takewright.audio.original.OriginalFileException;
import takewright.audio.original.Originals;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

/**
 * The folders that calls may access. Paths are resolved before they are checked, so that neither
 * {@code ..} nor a symbolic link leads outside; everything outside is refused in the same way,
 * whether it exists or not.
 */
public final class GrantedFolders {
  private static final Pattern WAV = Pattern.compile("\\.wave?$", Pattern.CASE_INSENSITIVE);

  /** Granted folders that an error names; GetServerInfo names all. */
  private static final int NAMED = 3;

  /** Real paths; null grants everything that the user may access. */
  private final List<Path> roots;

  private GrantedFolders(List<Path> roots) {
    this.roots = roots;
  }

  /** Everything, for a service that only this process can call. */
  public static GrantedFolders everything() {
    return new GrantedFolders(null);
  }

  /**
   * These folders and what is in them.
   *
   * @throws NoSuchFileException if one does not exist
   * @throws NotDirectoryException if one is no folder
   */
  public static GrantedFolders of(List<Path> folders) throws IOException {
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

  /** The real paths of the folders; empty if everything is granted. */
  public List<Path> roots() {
    return roots == null ? List.of() : roots;
  }

  /** The real path of a file to read; errors name {@code field}. */
  public Path fileToRead(String field, String path) throws IOException {
    Path real = resolve(field, path);
    if (!Files.exists(real)) {
      throw new ProblemException(
          Reason.NOT_THERE, field, "does not exist: " + path, "correct the path");
    }
    if (!Files.isRegularFile(real) || path.endsWith("/")) {
      throw ProblemException.invalid(field, "is not a plain file: " + path, "name one");
    }
    return real;
  }

  /**
   * The real path of a file to write. Its folder is there; a file of the name is there only with
   * {@code replace}, and only one of Takewright's own.
   */
  public Path fileToWrite(String field, String path, boolean replace) throws IOException {
    return fileToWrite(field, path, replace, "replace");
  }

  private Path fileToWrite(String field, String path, boolean replace, String replaceField)
      throws IOException {
    Path real = resolve(field, path);
    if (Files.exists(real)) {
      if (!Files.isRegularFile(real)) {
        throw ProblemException.invalid(field, "is not a plain file: " + path, "name one");
      }
      if (!replace) {
        throw new ProblemException(
            Reason.ALREADY_THERE,
            field,
            "exists already: " + path,
            "choose another name, or set `" + replaceField + "`");
      }
      try {
        Originals.requireReplaceable(real);
      } catch (OriginalFileException e) {
        throw new ProblemException(FileProblems.of(e).of(field), e);
      }
    } else if (!Files.isDirectory(real.getParent())) {
      throw new ProblemException(
          Reason.NOT_THERE,
          field,
          "lies in a folder that does not exist: " + path,
          "make the folder first");
    }
    return real;
  }

  /** The same of a WAV file, whose name says that it is one. */
  public Path wavToWrite(String field, String path, boolean replace) throws IOException {
    return wavToWrite(field, path, replace, "replace");
  }

  /** The same where another field than {@code replace} lets it be replaced. */
  public Path wavToWrite(String field, String path, boolean replace, String replaceField)
      throws IOException {
    Path file = fileToWrite(field, path, replace, replaceField);
    if (!WAV.matcher(path).find()) {
      throw ProblemException.invalid(
          field, "is not the name of a WAV file: " + path, "give it a name that ends in .wav");
    }
    return file;
  }

  /** The real path of a file to write that does not exist yet. */
  Path newFile(String field, String path) throws IOException {
    Path real = resolve(field, path);
    if (Files.exists(real)) {
      throw new ProblemException(
          Reason.ALREADY_THERE,
          field,
          "exists already: " + path,
          "move it away, or choose another name");
    }
    return fileToWrite(field, path, false);
  }

  /** The real path of a folder to write to, which need not exist yet. */
  public Path folderToWrite(String field, String path) throws IOException {
    Path real = resolve(field, path);
    if (Files.exists(real) && !Files.isDirectory(real)) {
      throw ProblemException.invalid(field, "is not a folder: " + path, "name one");
    }
    return real;
  }

  /** The real path of a file that the sheet names, which must be granted like the sheet itself. */
  public Path ofSheet(Path named) throws IOException {
    return resolve("file", named.toAbsolutePath().toString());
  }

  private Path resolve(String field, String path) throws IOException {
    if (path.isEmpty()) {
      throw ProblemException.invalid(field, "is empty", "give an absolute path");
    }
    Path given;
    try {
      given = Path.of(path);
    } catch (InvalidPathException e) {
      throw ProblemException.invalid(
          field, "is not a path (" + e.getReason() + ")", "give an absolute path");
    }
    if (!given.isAbsolute()) {
      throw ProblemException.invalid(
          field, "is not an absolute path: " + path, "give an absolute path");
    }
    Path real = FileProblems.read(field, () -> real(field, given));
    if (roots != null && roots.stream().noneMatch(real::startsWith)) {
      throw outside(field, path);
    }
    return real;
  }

  /** The real path of the deepest existing folder, followed by the names that do not exist. */
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
          throw roots == null ? dangling(field, there) : outside(field, path.toString());
        }
        there = there.getParent();
        if (there == null) {
          throw e;
        }
      }
    }
  }

  private static RuntimeException dangling(String field, Path link) {
    return new ProblemException(
        Reason.NOT_THERE,
        field,
        "is or lies behind a link to something that does not exist: " + link,
        "mend the link, or name the file itself");
  }

  private RuntimeException outside(String field, String path) {
    String allow = "start the service with --allow FOLDER";
    String granted =
        roots().stream().limit(NAMED).map(Path::toString).collect(Collectors.joining(" or "));
    return new ProblemException(
        Reason.NOT_GRANTED,
        field,
        "lies outside the granted folders: " + path,
        granted.isEmpty() ? allow : "use a path under " + granted + ", or " + allow);
  }
}
