package takewright.service.session;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.BufferedInputStream;
import java.io.ByteArrayOutputStream;
import java.io.Closeable;
import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
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
import takewright.audio.original.AtomicFile;
import takewright.audio.original.CheckedFile;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.v1.PcmEncoding;

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
  /**
   * The header of a file.
   *
   * @param sheetName where the sheet is or would be
   * @param sheetText what it said when the session began
   * @param encoding of the audio as it came
   */
  record Header(
      String sheetName,
      String sheetText,
      String take,
      int sampleRate,
      int channels,
      PcmEncoding encoding) {
    /** Bytes of a sample in the file: 2 and 3 for integers, 4 for floating point. */
    private int sampleBytes() {
      return switch (encoding) {
        case PCM_ENCODING_INT16 -> 2;
        case PCM_ENCODING_INT24 -> 3;
        default -> 4;
      };
    }
  }

  private static final Logger LOG = LoggerFactory.getLogger(SessionStore.class);
  private static final ObjectMapper JSON = new ObjectMapper();
  private static final String SUFFIX = ".session";
  private static final Pattern ID = Pattern.compile("[0-9a-f]{32}");

  /** The folder may hold files of others, which stay. */
  private static final Pattern NAME = Pattern.compile(ID.pattern() + Pattern.quote(SUFFIX));

  /** Four hours at 48 kHz in two channels of 24 bits; the rest of a longer session is not kept. */
  private static final long MAX_BYTES = 4L << 30;

  /** Space left free on the disk: 1 GiB. */
  private static final long LEFT_FREE = 1L << 30;

  /**
   * Audio that a crash of the machine can lose, in seconds. A crash of the service loses nothing.
   */
  private static final int FLUSH_S = 1;

  /** A sheet has at most 1 MiB, in JSON at most six times that. */
  private static final int MAX_HEADER_BYTES = 8 << 20;

  private final Path folder;
  private final Set<Kept> open = ConcurrentHashMap.newKeySet();
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

  /** What was decided about its notes. */
  private Path decided(String id) {
    return folder.resolve(id + ".decided");
  }

  /** Begins to keep a session; null if that is impossible. */
  Kept begin(String id, Header header) {
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
      ByteBuffer bytes = ByteBuffer.wrap(line.toByteArray());
      while (bytes.hasRemaining()) {
        channel.write(bytes);
      }
      channel.force(true);
      CheckedFile.flushFolder(folder);
      Kept kept = new Kept(id, header, channel);
      open.add(kept);
      return kept;
    } catch (IOException e) {
      notKept(e.toString());
      close(channel);
      return null;
    }
  }

  private static void notKept(String why) {
    LOG.warn("a followed session would not outlast this service: {}", why);
  }

  private static void close(FileChannel channel) {
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
  Kept find(String id) throws IOException {
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
      Kept kept = new Kept(id, JSON.readValue(line, Header.class), channel);
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
    for (Kept kept : open) {
      kept.flush();
    }
  }

  /** Leaves the sessions for the next service. */
  @Override
  public void close() {
    flusher.shutdown();
    for (Kept kept : open) {
      kept.flush();
      kept.close();
    }
  }

  /** The file of one session. */
  final class Kept {
    private final String id;
    private final Header header;
    private final int frameBytes;
    private ByteBuffer bytes = ByteBuffer.allocate(0);
    private volatile FileChannel channel;
    private volatile boolean isDirty;

    private Kept(String id, Header header, FileChannel channel) {
      this.id = id;
      this.header = header;
      this.channel = channel;
      frameBytes = header.channels * header.sampleBytes();
    }

    Header header() {
      return header;
    }

    private ByteBuffer room(int frames) {
      if (bytes.capacity() < frames * frameBytes) {
        bytes = ByteBuffer.allocate(frames * frameBytes).order(ByteOrder.LITTLE_ENDIAN);
      }
      return bytes.clear();
    }

    /**
     * Reads the audio from the start; 0 at its end, where writing then continues. An incomplete
     * frame left by a crash is cut off.
     */
    int read(float[][] planar) throws IOException {
      ByteBuffer block = room(planar[0].length).limit(planar[0].length * frameBytes);
      long from = channel.position();
      while (block.hasRemaining() && channel.read(block) >= 0) {
        // until it is full, or there is no more
      }
      int frames = block.position() / frameBytes;
      block.flip();
      for (int i = 0; i < frames; i++) {
        for (float[] samples : planar) {
          samples[i] = get(block);
        }
      }
      if (frames == 0) {
        channel.truncate(from).position(from);
      }
      return frames;
    }

    private float get(ByteBuffer block) {
      return switch (header.sampleBytes()) {
        case 2 -> block.getShort() / 0x1p15f;
        case 3 -> {
          int low = block.getShort() & 0xffff;
          yield (block.get() << 16 | low) / 0x1p23f;
        }
        default -> block.getFloat();
      };
    }

    private void put(ByteBuffer block, float sample) {
      switch (header.sampleBytes()) {
        case 2 -> block.putShort((short) Math.round(sample * 0x1p15f));
        case 3 -> {
          int value = Math.round(sample * 0x1p23f);
          block.putShort((short) value).put((byte) (value >> 16));
        }
        default -> block.putFloat(sample);
      }
    }

    /** Appends audio, which from then on survives this process. */
    void append(float[][] planar, int count) {
      FileChannel to = channel;
      if (to == null) {
        return;
      }
      ByteBuffer block = room(count);
      for (int i = 0; i < count; i++) {
        for (float[] samples : planar) {
          put(block, samples[i]);
        }
      }
      block.flip();
      try {
        while (block.hasRemaining()) {
          to.write(block);
        }
        isDirty = true;
        if (to.position() > MAX_BYTES) {
          notKept("it is longer than " + (MAX_BYTES >> 30) + " GiB");
          remove();
        }
      } catch (IOException e) {
        notKept(e.toString());
        remove();
      }
    }

    private void flush() {
      FileChannel to = channel;
      if (!isDirty || to == null) {
        return;
      }
      isDirty = false;
      try {
        // Not Files.getFileStore, which looks up the mount and fails in a chroot.
        if (folder.toFile().getUsableSpace() < LEFT_FREE) {
          notKept("there is less than " + (LEFT_FREE >> 30) + " GiB of room at " + folder);
          remove();
          return;
        }
        to.force(false);
      } catch (IOException e) {
        if (channel != null) {
          notKept(e.toString());
          remove();
        }
      }
    }

    /** What was decided in the session so far. */
    Decided decided() throws IOException {
      Path file = SessionStore.this.decided(id);
      return Files.exists(file)
          ? JSON.readValue(Files.readAllBytes(file), Decided.class)
          : Decided.NOTHING;
    }

    /** Keeps what was decided. */
    synchronized void keep(Decided decided) {
      if (channel != null) {
        try {
          AtomicFile.replace(SessionStore.this.decided(id), JSON.writeValueAsBytes(decided));
        } catch (IOException e) {
          notKept(e.toString());
        }
      }
    }

    /** Leaves the file in place. */
    synchronized void close() {
      FileChannel from = channel;
      channel = null;
      open.remove(this);
      SessionStore.close(from);
    }

    /** Removes the file of a session that has ended. */
    synchronized void remove() {
      if (channel != null) {
        try {
          Files.deleteIfExists(file(id));
          Files.deleteIfExists(SessionStore.this.decided(id));
        } catch (IOException e) {
          notKept(e.toString());
        }
        close();
      }
    }
  }
}
