package takewright.service.session;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.BufferedInputStream;
import java.io.ByteArrayOutputStream;
import java.io.Closeable;
import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.channels.Channels;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.channels.OverlappingFileLockException;
import java.nio.file.FileSystems;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.FileAttribute;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import takewright.audio.original.CheckedFile;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

/**
 * Keeps the audio of followed sessions on the disk, so that they continue after a restart of the
 * service: one file per session, which begins with a line of JSON that describes the session, then
 * the audio as it came. Played through again it gives the same table; the notes alone would not,
 * because each sound is judged in the context of what came before.
 *
 * <p>The files can be read by this user alone and are removed with their sessions. A session whose
 * file cannot be written goes on without one.
 */
public final class SessionStore implements Closeable {
  static final Logger LOG = LoggerFactory.getLogger(SessionStore.class);
  static final ObjectMapper JSON = new ObjectMapper();
  private static final String SUFFIX = ".session";
  private static final Pattern ID = Pattern.compile("[0-9a-f]{32}");

  /** The folder may hold files of others, which stay. */
  private static final Pattern NAME = Pattern.compile(ID.pattern() + Pattern.quote(SUFFIX));

  /**
   * Audio that a crash of the machine can lose, in seconds. A crash of the service loses nothing.
   */
  private static final int FLUSH_S = 1;

  /** A sheet has at most 1 MiB, in JSON at most six times that. */
  private static final int MAX_HEADER_BYTES = 8 << 20;

  private final Path folder;
  private final Set<KeptSession> open = ConcurrentHashMap.newKeySet();
  private final ScheduledExecutorService flusher =
      Executors.newSingleThreadScheduledExecutor(
          task -> {
            Thread thread = new Thread(task, "takewright-sessions");
            thread.setDaemon(true);
            return thread;
          });

  /** Keeps sessions in a folder, which is made if it does not exist. */
  public SessionStore(Path folder) throws IOException {
    this.folder = folder;
    Files.createDirectories(folder, onlyOwner("rwx------"));
    removeOld();
    flusher.scheduleWithFixedDelay(this::flush, FLUSH_S, FLUSH_S, TimeUnit.SECONDS);
  }

  private static FileAttribute<?>[] onlyOwner(String permissions) {
    // On other systems, a user's folders are closed to others by default.
    if (!FileSystems.getDefault().supportedFileAttributeViews().contains("posix")) {
      return new FileAttribute<?>[0];
    }
    return new FileAttribute<?>[] {
      PosixFilePermissions.asFileAttribute(PosixFilePermissions.fromString(permissions))
    };
  }

  /** Removes abandoned sessions. */
  private void removeOld() throws IOException {
    List<Path> files;
    try (Stream<Path> all = Files.list(folder)) {
      files = all.filter(file -> NAME.matcher(file.getFileName().toString()).matches()).toList();
    }
    for (Path file : files) {
      if (isOld(file)) {
        try (FileChannel channel = FileChannel.open(file, StandardOpenOption.WRITE);
            FileLock lock = tryLock(channel)) {
          if (lock != null) {
            Files.deleteIfExists(file);
            Files.deleteIfExists(decided(file));
          }
        } catch (NoSuchFileException e) {
          // Another service was first.
        }
      }
    }
  }

  private static boolean isOld(Path file) throws IOException {
    return System.currentTimeMillis() - Files.getLastModifiedTime(file).toMillis()
        > Sessions.KEPT_MS;
  }

  /** Null if this or another service holds it. */
  private static FileLock tryLock(FileChannel channel) throws IOException {
    try {
      return channel.tryLock();
    } catch (OverlappingFileLockException e) {
      return null;
    }
  }

  private Path file(String id) {
    return folder.resolve(id + SUFFIX);
  }

  /** Where the decisions of a session are, beside its audio. */
  private static Path decided(Path file) {
    String name = file.getFileName().toString();
    return file.resolveSibling(name.substring(0, name.length() - SUFFIX.length()) + ".decided");
  }

  private KeptSession kept(String id, SessionHeader header, FileChannel channel) {
    return new KeptSession(file(id), decided(file(id)), header, channel, open);
  }

  /** Begins to keep a session; null if that is impossible. */
  KeptSession begin(String id, SessionHeader header) {
    FileChannel channel = null;
    try {
      Set<StandardOpenOption> fresh =
          new HashSet<>(
              List.of(
                  StandardOpenOption.CREATE_NEW,
                  StandardOpenOption.READ,
                  StandardOpenOption.WRITE));
      channel = FileChannel.open(file(id), fresh, onlyOwner("rw-------"));
      channel.lock();
      ByteArrayOutputStream line = new ByteArrayOutputStream();
      line.write(JSON.writeValueAsBytes(header));
      line.write('\n');
      CheckedFile.write(file(id), channel, ByteBuffer.wrap(line.toByteArray()));
      channel.force(true);
      CheckedFile.flushFolder(folder);
      KeptSession kept = kept(id, header, channel);
      open.add(kept);
      return kept;
    } catch (IOException e) {
      notKept(e.toString());
      close(channel);
      return null;
    }
  }

  static void notKept(String why) {
    LOG.warn("a followed session will be lost when this service stops: {}", why);
  }

  static void close(FileChannel channel) {
    try {
      if (channel != null) {
        channel.close();
      }
    } catch (IOException e) {
      notKept(e.toString());
    }
  }

  /**
   * A session that an earlier service kept, or null if there is none. Its audio is read from the
   * start before any is added.
   */
  KeptSession find(String id) throws IOException {
    if (!ID.matcher(id).matches() || !Files.exists(file(id)) || isOld(file(id))) {
      return null;
    }
    FileChannel channel =
        FileChannel.open(file(id), StandardOpenOption.READ, StandardOpenOption.WRITE);
    boolean isWhole = false;
    try {
      if (tryLock(channel) == null) {
        throw new ProblemException(
            Reason.IN_USE,
            "config.session_id",
            "is in use by another call or service",
            "try again");
      }
      byte[] line = firstLine(channel);
      if (line == null) {
        return null;
      }
      KeptSession kept = kept(id, JSON.readValue(line, SessionHeader.class), channel);
      channel.position(line.length + 1);
      open.add(kept);
      isWhole = true;
      return kept;
    } catch (JsonProcessingException cutOff) {
      // The machine stopped while it was written.
      return null;
    } finally {
      if (!isWhole) {
        close(channel);
      }
    }
  }

  private static byte[] firstLine(FileChannel channel) throws IOException {
    InputStream in = new BufferedInputStream(Channels.newInputStream(channel));
    ByteArrayOutputStream line = new ByteArrayOutputStream();
    for (int b = in.read(); b != '\n'; b = in.read()) {
      if (b < 0 || line.size() > MAX_HEADER_BYTES) {
        return null;
      }
      line.write(b);
    }
    return line.toByteArray();
  }

  private void flush() {
    for (KeptSession kept : open) {
      kept.flush();
    }
  }

  /** Leaves the sessions for the next service. */
  @Override
  public void close() {
    flusher.shutdown();
    for (KeptSession kept : open) {
      kept.flush();
      kept.close();
    }
  }
}
