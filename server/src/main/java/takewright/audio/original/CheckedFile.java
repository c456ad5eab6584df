package takewright.audio.original;

import java.io.IOException;
import java.io.InputStream;
import java.nio.channels.Channels;
import java.nio.channels.FileChannel;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.LinkOption;
import java.nio.file.NoSuchFileException;
import java.nio.file.OpenOption;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
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

  /** All that a file holds, which must fit into memory. */
  public static byte[] content(Path file) throws IOException {
    try (InputStream in = read(file)) {
      return in.readAllBytes();
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
