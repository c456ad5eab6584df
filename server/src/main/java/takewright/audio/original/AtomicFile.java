package takewright.audio.original;

import java.io.BufferedOutputStream;
import java.io.Closeable;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.ThreadLocalRandom;
import java.util.regex.Pattern;
import java.util.stream.Stream;

/**
 * Writes files completely or not at all: into a temporary file in the same folder
 * (NAME.xxxxxxxx.part), flushed to the disk, then renamed. An existing file is replaced only if it
 * is Takewright's own ({@link Originals}).
 */
public final class AtomicFile {
  /** Characters of the name kept in the temporary name, since file systems allow 255 bytes. */
  private static final int NAME_KEPT = 48;

  private static final Pattern PART = Pattern.compile(".+\\.[0-9a-f]{8}\\.part");

  private static final int BUFFER = 1 << 16;

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
      write(file, out -> out.write(content), folder -> Originals.requireReplaceable(folder, file));
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
    write(file, content, folder -> {});
  }

  /** The same for content in memory, without a mark. */
  public static void replace(Path file, byte[] content) throws IOException {
    replace(file, out -> out.write(content));
  }

  /**
   * Tries whether a file could be written now, and leaves nothing behind.
   *
   * @throws IOException as {@link #write} would
   */
  public static void requireWritable(Path file) throws IOException {
    Originals.requireReplaceable(file);
    Unnamed.beside(file).close();
  }

  /**
   * Removes what a killed process left unfinished in a folder, which must be Takewright's own:
   * files NAME.xxxxxxxx.part.
   */
  public static void clearLeftovers(Path folder) throws IOException {
    List<Path> parts;
    try (Stream<Path> files = Files.list(folder)) {
      parts = files.filter(AtomicFile::isLeftover).toList();
    }
    for (Path part : parts) {
      CheckedFile.delete(part);
    }
  }

  /** Whether a file has the name of one that is being written, or was when its process ended. */
  public static boolean isLeftover(Path file) {
    return PART.matcher(file.getFileName().toString()).matches();
  }

  /** May refuse, by an exception, to give a finished file its name. */
  public interface Guard {
    void check(HeldFolder folder) throws IOException;
  }

  private static void write(Path file, Content content, Guard guard) throws IOException {
    try (Unnamed unnamed = Unnamed.beside(file)) {
      OutputStream out = new BufferedOutputStream(unnamed.stream(), BUFFER);
      content.writeTo(out);
      out.flush();
      unnamed.publish(guard);
    }
  }

  /** A file that is written under a temporary name, beside where it shall appear. */
  public static final class Unnamed implements Closeable {
    private final Path file;
    private final HeldFolder folder;
    private final String name;
    private final String temporary;
    private final FileChannel channel;

    private Unnamed(Path file, HeldFolder folder) throws IOException {
      this.file = file;
      this.folder = folder;
      this.name = file.getFileName().toString();
      this.temporary =
          String.format(
              "%s.%08x.part",
              name.substring(0, Math.min(NAME_KEPT, name.length())),
              ThreadLocalRandom.current().nextInt());
      try {
        this.channel = folder.create(temporary);
      } catch (IOException e) {
        throw CheckedFile.about(file, e);
      }
    }

    /** Begins one in the folder of {@code file}. */
    public static Unnamed beside(Path file) throws IOException {
      HeldFolder folder = HeldFolder.of(file);
      boolean isBegun = false;
      try {
        Unnamed unnamed = new Unnamed(file, folder);
        isBegun = true;
        return unnamed;
      } finally {
        if (!isBegun) {
          folder.close();
        }
      }
    }

    /** Writes all of some bytes behind those that were written before. */
    public void write(ByteBuffer bytes) throws IOException {
      CheckedFile.write(file, channel, bytes);
    }

    /** Writes all of some bytes instead of the first ones; further ones go to the end as before. */
    public void writeHead(ByteBuffer bytes) throws IOException {
      long end = channel.position();
      channel.position(0);
      write(bytes);
      channel.position(end);
    }

    private OutputStream stream() {
      return new OutputStream() {
        @Override
        public void write(int b) throws IOException {
          write(new byte[] {(byte) b}, 0, 1);
        }

        @Override
        public void write(byte[] bytes, int offset, int count) throws IOException {
          Unnamed.this.write(ByteBuffer.wrap(bytes, offset, count));
        }
      };
    }

    /** Flushes the file and gives it its name, if the guard lets it, and flushes the name. */
    public void publish(Guard guard) throws IOException {
      rename(guard);
      folder.flush();
    }

    /**
     * The same for one of many files. Until their folder is flushed ({@link
     * CheckedFile#flushFolder}), one that is new may be missing after a power failure; the name of
     * one that replaces another is flushed here, so that the older one does not come back.
     */
    public void publishOneOfMany(Guard guard) throws IOException {
      boolean isNew = folder.attributes(name) == null;
      rename(guard);
      if (!isNew) {
        folder.flush();
      }
    }

    private void rename(Guard guard) throws IOException {
      try {
        channel.force(true);
        channel.close();
      } catch (IOException e) {
        throw CheckedFile.named(file, e);
      }
      guard.check(folder);
      try {
        folder.rename(temporary, name);
      } catch (IOException e) {
        throw CheckedFile.about(file, e);
      }
    }

    /** Without a name the file is deleted. */
    @Override
    public void close() throws IOException {
      try (folder) {
        channel.close();
        folder.deleteIfExists(temporary);
      }
    }
  }
}
