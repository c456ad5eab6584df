package takewright.audio.original;

import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.channels.Channels;
import java.nio.channels.FileChannel;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.NoSuchFileException;
import java.nio.file.OpenOption;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;

/**
 * Files by paths that were checked and so have no links ({@link Path#toRealPath}): a link that has
 * come into the path since is not followed, but an error.
 */
public final class CheckedFile {
  private CheckedFile() {}

  /**
   * Opens a file.
   *
   * @param options how to open it
   * @throws NoSuchFileException if it, or its folder, does not exist
   * @throws IOException if a part of its path is a link
   */
  public static FileChannel open(Path file, OpenOption... options) throws IOException {
    Set<OpenOption> all = new HashSet<>(List.of(options));
    all.add(LinkOption.NOFOLLOW_LINKS);
    try (HeldFolder folder = HeldFolder.of(file)) {
      return folder.open(file.getFileName().toString(), all);
    }
  }

  /** Opens a file for reading from start to end. */
  public static InputStream read(Path file) throws IOException {
    return Channels.newInputStream(open(file, StandardOpenOption.READ));
  }

  /**
   * Writes all of some bytes where a channel stands.
   *
   * @param file the file that the channel leads to, as a person knows it
   * @throws FileSystemException if that fails, as on a full disk; it names the file
   */
  public static void write(Path file, FileChannel channel, ByteBuffer bytes) throws IOException {
    try {
      while (bytes.hasRemaining()) {
        channel.write(bytes);
      }
    } catch (IOException e) {
      throw named(file, e);
    }
  }

  /** Channels do not say which file they failed with: the same failure, which does. */
  static IOException named(Path file, IOException failure) {
    if (failure instanceof FileSystemException || failure.getMessage() == null) {
      return failure;
    }
    FileSystemException named =
        new FileSystemException(file.toString(), null, failure.getMessage());
    named.initCause(failure);
    return named;
  }

  /** A failure with the temporary name of a file, told of the file that a person knows. */
  static IOException about(Path file, IOException failure) {
    if (!(failure instanceof FileSystemException known)) {
      return named(file, failure);
    }
    String why = known.getReason();
    FileSystemException about =
        failure instanceof AccessDeniedException
            ? new AccessDeniedException(file.toString(), null, why)
            : new FileSystemException(
                file.toString(), null, why == null ? "cannot be written" : why);
    about.initCause(failure);
    return about;
  }

  /** All that a file holds, which must fit into memory. */
  public static byte[] content(Path file) throws IOException {
    try (InputStream in = read(file)) {
      return in.readAllBytes();
    }
  }

  /**
   * Makes a folder and those that it lies in, where they are missing, and makes their names
   * durable.
   */
  public static void createFolders(Path folder) throws IOException {
    Path whole = folder.toAbsolutePath().normalize();
    List<Path> missing = new ArrayList<>();
    for (Path at = whole; at != null && !Files.exists(at); at = at.getParent()) {
      missing.add(at);
    }
    Files.createDirectories(whole);
    for (Path made : missing) {
      flushFolder(made.getParent());
    }
  }

  /** Makes the names in a folder durable. Not every system can open a folder for that. */
  public static void flushFolder(Path folder) {
    try (FileChannel channel = FileChannel.open(folder, StandardOpenOption.READ)) {
      channel.force(true);
    } catch (IOException e) {
      // The files are safe; only a name may be missing, or old, after a power failure.
    }
  }

  /** Deletes a file, or a link itself, if it is there. */
  public static boolean delete(Path file) throws IOException {
    try (HeldFolder folder = HeldFolder.of(file)) {
      return folder.deleteIfExists(file.getFileName().toString());
    } catch (NoSuchFileException e) {
      return false;
    }
  }

  /**
   * Gives a file another name in its folder.
   *
   * @throws FileAlreadyExistsException if the name is taken
   */
  public static void move(Path file, Path other) throws IOException {
    if (!other.getParent().equals(file.getParent())) {
      throw new IllegalArgumentException(other + " lies in another folder than " + file);
    }
    String name = other.getFileName().toString();
    try (HeldFolder folder = HeldFolder.of(file)) {
      if (folder.attributes(name) != null) {
        throw new FileAlreadyExistsException(other.toString());
      }
      folder.rename(file.getFileName().toString(), name);
    }
  }
}
