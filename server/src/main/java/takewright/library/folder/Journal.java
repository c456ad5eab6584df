package takewright.library.folder;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.SerializationFeature;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.ByteArrayOutputStream;
import java.io.Closeable;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.FileTime;
import java.util.Collection;
import java.util.Comparator;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.UUID;
import java.util.stream.Stream;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.CheckedFile;
import takewright.diagnosis.FileProblemException;

/**
 * What a build has written, so that an interrupted one goes on where it stopped and nothing that is
 * not its own is ever written over.
 *
 * <p>One line of JSON an event, each flushed to the disk before the next step: first that a file
 * will be written, then that it is. A line that a crash cut off is skipped.
 */
public final class Journal implements Closeable {
  private static final ObjectMapper JSON =
      JsonMapper.builder()
          .enable(SerializationFeature.WRITE_ENUMS_USING_TO_STRING)
          .enable(DeserializationFeature.READ_ENUMS_USING_TO_STRING)
          .build();

  /** Where journal and lock are, in the output folder. */
  public static final String PRIVATE_FOLDER = ".takewright";

  /** What parts note until a whole build finishes the library, in that folder. */
  private static final String PARTS = "parts";

  private static final String LOCK = "lock";

  /** Among the journals of parts: an id that all who see this folder read alike. */
  private static final String FOLDER_ID = "folder-id";

  /** Preparing a folder takes no longer, in seconds; whoever holds it longer builds in it. */
  private static final int OPENING_S = 20;

  private final FolderLock lock;

  /** Held by a part while it prepares the folder; then null. */
  private FolderLock opening;

  private final Path file;
  private final FileChannel channel;
  private final Map<String, Entry> entries;
  private final String folderId;

  /**
   * One file of the output folder.
   *
   * @param file its name, relative to the folder
   * @param recipe a digest of all that its bytes follow from
   * @param size its bytes; -1 while it is being written
   * @param crc32 its checksum
   * @param sample what is known of it; null if it is no sample or not written yet
   */
  public record Entry(String file, String recipe, long size, long crc32, MadeSample sample) {
    boolean written() {
      return size >= 0;
    }
  }

  private Journal(
      FolderLock lock,
      FolderLock opening,
      Path file,
      FileChannel channel,
      Map<String, Entry> entries,
      String folderId) {
    this.lock = lock;
    this.opening = opening;
    this.file = file;
    this.channel = channel;
    this.entries = entries;
    this.folderId = folderId;
  }

  /**
   * Opens the journal of an output folder and keeps every other build out of it until it is closed.
   * What parts have noted becomes part of it.
   *
   * @throws FileProblemException if another build is in the folder
   */
  public static Journal open(Path folder) throws IOException {
    Path own = folder.resolve(PRIVATE_FOLDER);
    CheckedFile.createFolders(own);
    FolderLock lock = FolderLock.take(folder, own.resolve(LOCK));
    try {
      AtomicFile.clearLeftovers(own);
      Path file = own.resolve("journal.jsonl");
      Map<String, Entry> entries = read(file);
      Path parts = own.resolve(PARTS);
      for (Path part : files(parts, ".lock")) {
        FolderLock.take(folder, part).close();
      }
      List<Path> ofParts = files(parts, ".jsonl");
      for (Path part : ofParts) {
        entries.putAll(read(part));
      }
      Journal journal = new Journal(lock, null, file, rewritten(file, entries), entries, "");
      for (Path part : ofParts) {
        CheckedFile.delete(part);
      }
      CheckedFile.delete(parts.resolve(FOLDER_ID));
      return journal;
    } catch (IOException | RuntimeException e) {
      lock.close();
      throw e;
    }
  }

  /**
   * Opens the journal of one part of a build, beside other parts and their journals. Until {@link
   * #opened} no other build or part gets into the folder.
   *
   * @param part its name
   * @throws FileProblemException if a whole build or the same part is in the folder
   */
  public static Journal openPart(Path folder, String part) throws IOException {
    Path own = folder.resolve(PRIVATE_FOLDER);
    Path parts = own.resolve(PARTS);
    CheckedFile.createFolders(parts);
    FolderLock lock = FolderLock.take(folder, parts.resolve(part + ".lock"));
    FolderLock opening = null;
    try {
      opening = FolderLock.await(folder, own.resolve(LOCK), OPENING_S);
      AtomicFile.clearLeftovers(parts);
      Map<String, Entry> entries = read(own.resolve("journal.jsonl"));
      for (Path other : files(parts, ".jsonl")) {
        entries.putAll(read(other));
      }
      Path file = parts.resolve(part + ".jsonl");
      Map<String, Entry> mine = read(file);
      FileChannel channel = rewritten(file, mine);
      entries.putAll(mine);
      return new Journal(lock, opening, file, channel, entries, folderId(parts));
    } catch (IOException | RuntimeException e) {
      if (opening != null) {
        opening.close();
      }
      lock.close();
      throw e;
    }
  }

  /** The id of a folder in which parts are built; the first part gives it one. */
  private static String folderId(Path parts) throws IOException {
    Path file = parts.resolve(FOLDER_ID);
    if (!Files.exists(file)) {
      AtomicFile.replace(file, UUID.randomUUID().toString().getBytes(StandardCharsets.US_ASCII));
    }
    return new String(CheckedFile.content(file), StandardCharsets.US_ASCII);
  }

  /** Files of an ending, the oldest first; none if there is no such folder. */
  private static List<Path> files(Path folder, String ending) throws IOException {
    if (!Files.isDirectory(folder)) {
      return List.of();
    }
    Map<Path, FileTime> times = new HashMap<>();
    try (Stream<Path> files = Files.list(folder)) {
      for (Path file : files.filter(f -> f.toString().endsWith(ending)).toList()) {
        times.put(file, Files.getLastModifiedTime(file));
      }
    }
    return times.keySet().stream().sorted(Comparator.comparing(times::get)).toList();
  }

  private static Map<String, Entry> read(Path file) throws IOException {
    Map<String, Entry> entries = new LinkedHashMap<>();
    if (Files.exists(file)) {
      for (String line :
          new String(CheckedFile.content(file), StandardCharsets.UTF_8).split("\n")) {
        try {
          if (!line.isBlank()) {
            Entry entry = JSON.readValue(line, Entry.class);
            entries.put(entry.file(), entry);
          }
        } catch (JsonProcessingException cutOff) {
          // The line being written when the machine crashed: its file is unfinished.
          continue;
        }
      }
    }
    return entries;
  }

  /** Written anew, so that a truncated line is gone and later entries start on a new line. */
  private static FileChannel rewritten(Path file, Map<String, Entry> entries) throws IOException {
    AtomicFile.replace(file, lines(entries.values()));
    return CheckedFile.open(file, StandardOpenOption.WRITE, StandardOpenOption.APPEND);
  }

  /** An id of the folder that all of a build's parts read alike; empty for a whole build. */
  public String folderId() {
    return folderId;
  }

  /** Whether it is that of one part of a build. */
  boolean isOfPart() {
    return !file.getParent().endsWith(PRIVATE_FOLDER);
  }

  /** The folder is prepared: other parts may come in. */
  void opened() throws IOException {
    if (opening != null) {
      opening.close();
      opening = null;
    }
  }

  /** The entry of a file, or null. */
  synchronized Entry find(String name) {
    return entries.get(name);
  }

  /** All files, in the order they were begun. */
  synchronized Collection<Entry> entries() {
    return List.copyOf(entries.values());
  }

  /** Records that a file will be written. */
  void begin(String name, String recipe) throws IOException {
    append(List.of(new Entry(name, recipe, -1, 0, null)));
  }

  /** Records that existing files will be written again. */
  void beginAgain(Collection<Entry> written) throws IOException {
    append(written.stream().map(e -> new Entry(e.file(), e.recipe(), -1, 0, null)).toList());
  }

  /** Records that a file is written. */
  void done(Entry entry) throws IOException {
    append(List.of(entry));
  }

  /** Records that several files are written. */
  void done(Collection<Entry> written) throws IOException {
    append(written);
  }

  private synchronized void append(Collection<Entry> lines) throws IOException {
    lines.forEach(entry -> entries.put(entry.file(), entry));
    CheckedFile.write(file, channel, ByteBuffer.wrap(lines(lines)));
    channel.force(false);
  }

  /** Keeps only the named files, and compacts the journal. */
  synchronized void keepOnly(Collection<String> names) throws IOException {
    entries.keySet().retainAll(names);
    AtomicFile.replace(file, lines(entries.values()));
  }

  private static byte[] lines(Collection<Entry> entries) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    for (Entry entry : entries) {
      out.write(JSON.writeValueAsBytes(entry));
      out.write('\n');
    }
    return out.toByteArray();
  }

  @Override
  public void close() throws IOException {
    try {
      channel.close();
      opened();
    } finally {
      lock.close();
    }
  }
}
