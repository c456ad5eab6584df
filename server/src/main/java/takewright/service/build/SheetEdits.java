package takewright.service.build;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.BasicFileAttributes;
import java.nio.file.attribute.FileTime;
import java.util.Arrays;

/**
 * Notices that a person saved a sheet. The file is looked at now and then: notices of the system
 * are late or missing on network drives, and editors save by a new file of the same name as often
 * as by writing into the old one.
 */
final class SheetEdits {
  private final Path sheet;

  /** At the last look; both null before the first one that found the sheet. */
  private Stamp seen;

  private byte[] text;

  /** What changes when a file is written. */
  private record Stamp(FileTime modified, long bytes, Object key) {}

  /** Edits from now on, or from when the sheet can be read. */
  SheetEdits(Path sheet) {
    this.sheet = sheet;
    isEdited();
  }

  /**
   * Whether the text is another than at the last look. A file that is away for a moment, or still
   * being written, is left to the next look.
   */
  boolean isEdited() {
    try {
      Stamp now = stamp();
      if (now.equals(seen)) {
        return false;
      }
      byte[] read = Files.readAllBytes(sheet);
      if (!stamp().equals(now) || read.length != now.bytes) {
        return false;
      }
      seen = now;
      boolean isOther = text != null && !Arrays.equals(read, text);
      text = read;
      return isOther;
    } catch (IOException e) {
      return false;
    }
  }

  private Stamp stamp() throws IOException {
    BasicFileAttributes now = Files.readAttributes(sheet, BasicFileAttributes.class);
    return new Stamp(now.lastModifiedTime(), now.size(), now.fileKey());
  }
}
