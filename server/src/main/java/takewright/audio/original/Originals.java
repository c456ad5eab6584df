package takewright.audio.original;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.attribute.BasicFileAttributes;
import java.util.Arrays;
import java.util.Locale;

/**
 * The one place that decides whether a file may be overwritten. A file is Takewright's own if it
 * has a mark that still fits; takes, sheets and files that a person has edited since do not. The
 * files of an output folder that have no place for a mark (tables, key maps) are known by the
 * folder's journal instead.
 */
public final class Originals {
  /** Larger pages or pictures are not Takewright's, in bytes. */
  private static final long MAX_CONTENT = 64L << 20;

  private Originals() {}

  /**
   * Passes if there is no such file, or one of Takewright's own.
   *
   * @throws OriginalFileException if a file is there that is not Takewright's own, or a link or a
   *     folder
   */
  public static void requireReplaceable(Path file) throws IOException {
    if (Files.exists(file, LinkOption.NOFOLLOW_LINKS)) {
      try (HeldFolder folder = HeldFolder.of(file.toRealPath(LinkOption.NOFOLLOW_LINKS))) {
        requireReplaceable(folder, file);
      }
    }
  }

  /** The same in a folder that is held open. */
  public static void requireReplaceable(HeldFolder folder, Path file) throws IOException {
    String name = file.getFileName().toString();
    BasicFileAttributes attributes = folder.attributes(name);
    if (attributes == null) {
      return;
    }
    if (attributes.isSymbolicLink()) {
      throw new OriginalFileException(file, "is a link, which is never replaced");
    }
    if (!attributes.isRegularFile()) {
      throw new OriginalFileException(file, "is not a plain file");
    }
    if (!isOwn(folder, name)) {
      throw new OriginalFileException(
          file, "Takewright did not write this file, or it was changed since");
    }
  }

  /** Whether a regular file holds exactly this. */
  static boolean holds(Path file, byte[] content) throws IOException {
    return Files.isRegularFile(file, LinkOption.NOFOLLOW_LINKS)
        && Files.size(file) == content.length
        && Arrays.equals(Files.readAllBytes(file), content);
  }

  /** Whether a file has Takewright's mark and was not changed since. */
  public static boolean isOwn(Path file) throws IOException {
    try (HeldFolder folder = HeldFolder.of(file.toRealPath(LinkOption.NOFOLLOW_LINKS))) {
      return isOwn(folder, file.getFileName().toString());
    }
  }

  private static boolean isOwn(HeldFolder folder, String name) throws IOException {
    try (FileChannel channel = folder.read(name)) {
      ContentMark mark = markOf(name);
      if (mark == null) {
        return WavMark.fits(channel);
      }
      if (channel.size() > MAX_CONTENT) {
        return false;
      }
      ByteBuffer content = ByteBuffer.allocate((int) channel.size());
      while (content.hasRemaining() && channel.read(content) >= 0) {
        // until all is read, or the file has become shorter
      }
      return !content.hasRemaining() && mark.fits(content.array());
    }
  }

  /** Content with its mark, if its format has a place for one. */
  static byte[] marked(Path file, byte[] content) {
    ContentMark mark = markOf(file.getFileName().toString());
    // Other programs read tables, and few of them know comments.
    return mark == null || mark == TextMark.TABLE ? content : mark.mark(content);
  }

  private static ContentMark markOf(String fileName) {
    String name = fileName.toLowerCase(Locale.ROOT);
    return switch (name.substring(name.lastIndexOf('.') + 1)) {
      case "png" -> PngMark.INSTANCE;
      case "csv", "yaml", "yml" -> TextMark.TABLE;
      case "js", "css" -> TextMark.SCRIPT;
      case "html" -> TextMark.PAGE;
      default -> null;
    };
  }
}
