package takewright.library.folder;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.BasicFileAttributes;
import java.nio.file.attribute.FileTime;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.zip.CRC32;
import takewright.audio.original.CheckedFile;

/**
 * Checksums of files. A file is read again only if the system says that it may have changed since:
 * by its size, the time of its content, and, where there is one, that of its last change of any
 * kind, which no program can set.
 */
final class Checksums {
  /** A library of as many files is large. */
  private static final int REMEMBERED = 50_000;

  /** A file changed less than so long ago, in nanoseconds, may change again at the same time. */
  private static final long STILL_NS = TimeUnit.MILLISECONDS.toNanos(100);

  private static final int BUFFER = 1 << 16;

  private static final Map<Path, Known> KNOWN =
      new LinkedHashMap<>(16, 0.75f, true) {
        private static final long serialVersionUID = 1;

        @Override
        protected boolean removeEldestEntry(Map.Entry<Path, Known> eldest) {
          return size() > REMEMBERED;
        }
      };

  private record Known(List<Object> stamp, long crc32) {}

  private Checksums() {}

  /** The CRC-32 of a file's bytes. */
  static long of(Path file) throws IOException {
    Path key = file.toAbsolutePath().normalize();
    List<Object> before = stamp(key);
    synchronized (KNOWN) {
      Known known = KNOWN.get(key);
      if (known != null && known.stamp().equals(before)) {
        return known.crc32();
      }
    }
    long crc32 = read(key);
    if (isStill(before) && before.equals(stamp(key))) {
      synchronized (KNOWN) {
        KNOWN.put(key, new Known(before, crc32));
      }
    }
    return crc32;
  }

  /** Whether each time is so long ago that a further change would have another. */
  private static boolean isStill(List<Object> stamp) {
    long nowNs = TimeUnit.MILLISECONDS.toNanos(System.currentTimeMillis());
    return stamp.stream()
        .allMatch(
            part -> !(part instanceof FileTime t) || nowNs - t.to(TimeUnit.NANOSECONDS) > STILL_NS);
  }

  private static List<Object> stamp(Path file) throws IOException {
    try {
      Map<String, Object> unix = Files.readAttributes(file, "unix:size,lastModifiedTime,ctime,ino");
      return List.of(
          unix.get("size"), unix.get("lastModifiedTime"), unix.get("ctime"), unix.get("ino"));
    } catch (UnsupportedOperationException | IllegalArgumentException e) {
      BasicFileAttributes any = Files.readAttributes(file, BasicFileAttributes.class);
      return List.of(any.size(), any.lastModifiedTime(), any.creationTime());
    }
  }

  private static long read(Path file) throws IOException {
    CRC32 crc = new CRC32();
    byte[] buffer = new byte[BUFFER];
    try (InputStream in = CheckedFile.read(file)) {
      for (int n = in.read(buffer); n >= 0; n = in.read(buffer)) {
        crc.update(buffer, 0, n);
      }
    }
    return crc.getValue();
  }
}
