package takewright.audio;

import java.io.BufferedOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.channels.Channels;
import java.nio.channels.FileChannel;
import java.nio.file.AtomicMoveNotSupportedException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.util.concurrent.ThreadLocalRandom;

/**
 * Writes files completely or not at all: into a temporary file in the same folder
 * (NAME.xxxxxxxx.part), flushed to the disk, then renamed. An existing file is replaced only if it
 * is Takewright's own ({@link Originals}).
 */
public final class AtomicFile {
  /** Characters of the name kept in the temporary name, since file systems allow 255 bytes. */
  private static final int NAME_KEPT = 48;

  private static final int BUFFER = 1 << 16;

  /** How often, and how long apart in milliseconds, a file that is held open is tried again. */
  private static final int RENAME_ATTEMPTS = 20;

  private static final int RENAME_PAUSE_MS = 50;

  private AtomicFile() {}

  /**
   * Writes a whole file, with Takewright's mark if its format has a place for one. A file that
   * already holds the same is left alone.
   *
   * @throws OriginalFileException if a file of that name is there that is not Takewright's own, and
   *     holds something else
   * @throws IOException if it cannot be written; nothing is left then, and a file that had the name
   *     before is as it was
   */
  public static void write(Path file, byte[] content) throws IOException {
    writeMarked(file, Originals.marked(file, content));
  }

  /** The same for a table that only Takewright reads: a comment in its last line bears the mark. */
  public static void writeTable(Path file, byte[] content) throws IOException {
    writeMarked(file, TextMark.TABLE.mark(content));
  }

  private static void writeMarked(Path file, byte[] content) throws IOException {
    if (!Originals.holds(file, content)) {
      Originals.requireReplaceable(file);
      write(file, out -> out.write(content), () -> Originals.requireReplaceable(file));
    }
  }

  /** The content of a file, written from start to end. */
  public interface Content {
    void writeTo(OutputStream out) throws IOException;
  }

  /**
   * Writes a file instead of whatever has the name: for the files of a folder that is Takewright's
   * own, or whose journal says that the file is.
   *
   * @throws IOException as above
   */
  public static void replace(Path file, Content content) throws IOException {
    write(file, content, () -> {});
  }

  /** The same for content in memory, without a mark. */
  public static void replace(Path file, byte[] content) throws IOException {
    replace(file, out -> out.write(content));
  }

  /** May refuse, by an exception, to give a finished file its name. */
  interface Guard {
    void check() throws IOException;
  }

  private static void write(Path file, Content content, Guard guard) throws IOException {
    Path temporary = temporaryFor(file);
    try (FileChannel channel = create(temporary)) {
      OutputStream out = new BufferedOutputStream(Channels.newOutputStream(channel), BUFFER);
      content.writeTo(out);
      out.flush();
      publish(channel, temporary, file, guard);
    } finally {
      Files.deleteIfExists(temporary);
    }
  }

  /** A name in the folder of {@code file} that no other writer uses. */
  static Path temporaryFor(Path file) throws IOException {
    Path folder = file.toAbsolutePath().getParent();
    if (folder == null || !Files.isDirectory(folder)) {
      throw new NoSuchFileException(
          String.valueOf(folder), null, "this folder does not exist; create it first");
    }
    String name = file.getFileName().toString();
    return folder.resolve(
        String.format(
            "%s.%08x.part",
            name.substring(0, Math.min(NAME_KEPT, name.length())),
            ThreadLocalRandom.current().nextInt()));
  }

  static FileChannel create(Path temporary) throws IOException {
    return FileChannel.open(temporary, StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE);
  }

  /** Flushes and closes {@code temporary} and gives it its final name. */
  static void publish(FileChannel channel, Path temporary, Path file, Guard guard)
      throws IOException {
    channel.force(true);
    channel.close();
    guard.check();
    rename(file, () -> move(temporary, file));
    flushFolder(temporary.getParent());
  }

  /**
   * Gives a file its final name. Windows renames over no file that a program has open, as a browser
   * or a virus scanner does for a moment, so that is tried for a while.
   */
  static void rename(Path file, Move move) throws IOException {
    for (int attempt = 1; ; attempt++) {
      try {
        move.run();
        return;
      } catch (FileSystemException e) {
        boolean isHeld = !(e instanceof NoSuchFileException) && Files.isRegularFile(file);
        if (!isHeld || attempt == RENAME_ATTEMPTS) {
          throw isHeld ? heldOpen(file, e) : e;
        }
        pause(file, e);
      }
    }
  }

  /** One attempt at it. */
  interface Move {
    void run() throws IOException;
  }

  private static void move(Path temporary, Path file) throws IOException {
    try {
      // Whether an atomic move replaces a file is left to the system, unless it is asked for.
      Files.move(
          temporary, file, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
    } catch (AtomicMoveNotSupportedException e) {
      Files.move(temporary, file, StandardCopyOption.REPLACE_EXISTING);
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
      Thread.sleep(RENAME_PAUSE_MS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw heldOpen(file, cause);
    }
  }

  /** Makes the new name durable too. Not every system can open a folder for that. */
  private static void flushFolder(Path folder) {
    try (FileChannel channel = FileChannel.open(folder, StandardOpenOption.READ)) {
      channel.force(true);
    } catch (IOException e) {
      // The file itself is safe; only the old name may return after a power failure.
    }
  }
}
