package takewright.audio.original;

import java.io.Closeable;
import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.channels.SeekableByteChannel;
import java.nio.file.AccessDeniedException;
import java.nio.file.DirectoryStream;
import java.nio.file.FileSystemException;
import java.nio.file.FileSystems;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.NoSuchFileException;
import java.nio.file.NotDirectoryException;
import java.nio.file.OpenOption;
import java.nio.file.Path;
import java.nio.file.SecureDirectoryStream;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.BasicFileAttributeView;
import java.nio.file.attribute.BasicFileAttributes;
import java.util.Set;

/**
 * A folder that is held open while files in it are read or written, so that whatever is swapped in
 * its path meanwhile leads nowhere else. No part of its path may be a link: a path that was checked
 * before has none ({@link Path#toRealPath}).
 *
 * <p>Where the system cannot open files relative to a folder (Windows, macOS), files are opened by
 * their paths, without following links at the end.
 */
public final class HeldFolder implements Closeable {
  private final Path path;

  /** Null where the system has none. */
  private final SecureDirectoryStream<Path> held;

  private HeldFolder(Path path, SecureDirectoryStream<Path> held) {
    this.path = path;
    this.held = held;
  }

  /**
   * The folder of a file.
   *
   * @throws NoSuchFileException if the folder does not exist
   * @throws IOException if a part of its path is a link
   */
  public static HeldFolder of(Path file) throws IOException {
    Path folder = file.toAbsolutePath().normalize().getParent();
    if (folder == null || !Files.isDirectory(folder)) {
      throw new NoSuchFileException(
          String.valueOf(folder), null, "this folder does not exist; create it first");
    }
    boolean isUsual = folder.getFileSystem() == FileSystems.getDefault();
    return new HeldFolder(folder, isUsual ? walk(folder) : null);
  }

  /**
   * Opens folder after folder from the root on; null where the system cannot.
   *
   * <p>A folder that this user may pass but not list, such as /home on some machines, cannot be
   * held, and the next one is opened by its path.
   */
  private static SecureDirectoryStream<Path> walk(Path folder) throws IOException {
    Path reached = folder.getRoot();
    DirectoryStream<Path> at = byPath(reached);
    for (Path name : folder) {
      reached = reached.resolve(name);
      if (at == null) {
        at = byPath(reached);
      } else if (at instanceof SecureDirectoryStream<Path> here) {
        try (here) {
          at = next(here, name, reached);
        }
      } else {
        at.close();
        return null;
      }
    }
    if (at instanceof SecureDirectoryStream<Path> last) {
      return last;
    }
    if (at != null) {
      at.close();
    }
    return null;
  }

  /** Null if it cannot be listed. */
  private static DirectoryStream<Path> byPath(Path folder) throws IOException {
    if (Files.isSymbolicLink(folder)) {
      throw swapped(folder, null);
    }
    try {
      return Files.newDirectoryStream(folder);
    } catch (AccessDeniedException e) {
      return null;
    }
  }

  private static DirectoryStream<Path> next(
      SecureDirectoryStream<Path> here, Path name, Path reached) throws IOException {
    try {
      return here.newDirectoryStream(name, LinkOption.NOFOLLOW_LINKS);
    } catch (AccessDeniedException e) {
      return null;
    } catch (NotDirectoryException | NoSuchFileException e) {
      throw e;
    } catch (IOException e) {
      throw swapped(reached, e);
    }
  }

  private static FileSystemException swapped(Path folder, IOException cause) {
    FileSystemException swapped =
        new FileSystemException(
            folder.toString(), null, "is a link, or was replaced while it was used");
    swapped.initCause(cause);
    return swapped;
  }

  /** Opens a file for reading. */
  public FileChannel read(String name) throws IOException {
    return open(name, Set.of(StandardOpenOption.READ, LinkOption.NOFOLLOW_LINKS));
  }

  /** Creates a file, which must not exist. */
  FileChannel create(String name) throws IOException {
    return open(
        name,
        Set.of(StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE, LinkOption.NOFOLLOW_LINKS));
  }

  /** Opens a file; the options hold that links are not followed. */
  FileChannel open(String name, Set<? extends OpenOption> options) throws IOException {
    if (held == null) {
      return FileChannel.open(path.resolve(name), options);
    }
    SeekableByteChannel channel = held.newByteChannel(Path.of(name), options);
    return (FileChannel) channel; // as the JDK's own file systems have it
  }

  /** What kind of file has a name, links not followed; null if none has it. */
  public BasicFileAttributes attributes(String name) throws IOException {
    try {
      return held == null
          ? Files.readAttributes(
              path.resolve(name), BasicFileAttributes.class, LinkOption.NOFOLLOW_LINKS)
          : held.getFileAttributeView(
                  Path.of(name), BasicFileAttributeView.class, LinkOption.NOFOLLOW_LINKS)
              .readAttributes();
    } catch (NoSuchFileException e) {
      return null;
    }
  }

  /** Gives a file another name; a file that has it is replaced. */
  void rename(String from, String to) throws IOException {
    if (held != null) {
      held.move(Path.of(from), held, Path.of(to));
      return;
    }
    PatientRename.over(path.resolve(from), path.resolve(to));
  }

  boolean deleteIfExists(String name) throws IOException {
    try {
      if (held == null) {
        return Files.deleteIfExists(path.resolve(name));
      }
      held.deleteFile(Path.of(name));
      return true;
    } catch (NoSuchFileException e) {
      return false;
    }
  }

  /** Makes new names durable too. */
  void flush() {
    CheckedFile.flushFolder(path);
  }

  @Override
  public void close() throws IOException {
    if (held != null) {
      held.close();
    }
  }
}
