package takewright.library.folder;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collection;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Stream;
import takewright.audio.AudioFile;
import takewright.audio.WavChunks;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.CheckedFile;
import takewright.audio.write.WavKeys;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Reason;

/**
 * The folder that a library is built into. Files that no build wrote, or that were changed since,
 * are left alone.
 */
public final class OutputFolder {
  /** The table of all regions and missing cells. */
  static final String INDEX = "index.csv";

  private final Path folder;
  private final Journal journal;
  private final EarlierSamples earlier;

  public OutputFolder(Path folder, Journal journal) {
    this.folder = folder;
    this.journal = journal;
    earlier = new EarlierSamples(folder);
  }

  public Path file(String name) {
    return folder.resolve(name);
  }

  public Path index() {
    return folder.resolve(INDEX);
  }

  /**
   * Prepares the folder for a build.
   *
   * @param names the files that it may write
   * @throws FileProblemException if one of them has a name that some system refuses
   * @throws IOException if one of them is there and not as a build wrote it
   */
  public void prepare(Collection<String> names) throws IOException {
    PortableNames.check(names);
    for (String name : names) {
      requireOwn(name);
    }
    requireOwn(INDEX);
    earlier.begin();
    clearLeftovers(names);
    journal.opened();
  }

  /** Refuses a file that is there and not as a build wrote it; a link is no such file. */
  private void requireOwn(String name) throws IOException {
    Path file = folder.resolve(name);
    if (!Files.exists(file, LinkOption.NOFOLLOW_LINKS)) {
      return;
    }
    Journal.Entry entry = journal.find(name);
    if (entry == null) {
      throw new FileProblemException(
          Reason.ALREADY_THERE,
          file.toString(),
          "exists already and no build wrote it",
          "move it away, or choose another folder");
    }
    if (entry.written() && !unchanged(entry)) {
      throw new FileProblemException(
          Reason.ALREADY_THERE,
          file.toString(),
          "was changed after it was built",
          "move it away to have it built again");
    }
  }

  /**
   * Removes the unfinished files of a killed build; of a part only those that are surely its own,
   * since other parts write beside it.
   */
  private void clearLeftovers(Collection<String> names) throws IOException {
    List<Path> parts;
    try (Stream<Path> files = Files.list(folder)) {
      parts = files.filter(f -> f.getFileName().toString().endsWith(".part")).toList();
    }
    Set<String> own = new HashSet<>(names);
    for (Path part : parts) {
      // NAME.xxxxxxxx.part, of a long name only the beginning.
      String text = part.getFileName().toString();
      String name = text.substring(0, Math.max(0, text.length() - 14));
      boolean isOwn =
          journal.isOfPart()
              ? own.contains(name)
              : !name.isEmpty()
                  && journal.entries().stream().anyMatch(entry -> entry.file().startsWith(name));
      if (isOwn) {
        CheckedFile.delete(part);
      }
    }
  }

  /** The entry of a sample that is there as this recipe would make it; otherwise null. */
  public Journal.Entry made(String name, String recipe) throws IOException {
    Journal.Entry entry = journal.find(name);
    boolean same =
        entry != null && entry.written() && entry.recipe().equals(recipe) && unchanged(entry);
    return same ? entry : null;
  }

  /** Whether a sample is there as a build wrote it. */
  public boolean has(String name) {
    Journal.Entry entry = journal.find(name);
    return entry != null && entry.written() && Files.exists(file(name));
  }

  /** Makes the names of all files durable, which is left until then for those of samples. */
  public void flush() {
    CheckedFile.flushFolder(folder);
  }

  /** Makes a sample, and returns its entry. */
  public Journal.Entry make(String name, String recipe, Maker maker) throws IOException {
    Journal.Entry last = journal.find(name);
    if (last != null && last.sample() != null && last.written() && unchanged(last)) {
      earlier.keep(name);
    }
    journal.begin(name, recipe);
    Path file = folder.resolve(name);
    MadeSample made = maker.make(file);
    Journal.Entry entry =
        new Journal.Entry(name, recipe, Files.size(file), Checksums.of(file), made);
    journal.done(entry);
    return entry;
  }

  /** Writes a file that is no sample, unless it is there as this recipe would make it. */
  public void write(String name, String recipe, AtomicFile.Content content) throws IOException {
    if (made(name, recipe) == null) {
      make(
          name,
          recipe,
          file -> {
            AtomicFile.replace(file, content);
            return null;
          });
    }
  }

  /**
   * Sets the keys and velocities in samples' own chunks.
   *
   * @param keys by sample
   * @return the checksum of each sample as it is then
   */
  public Map<String, Long> setKeys(Map<String, WavChunks.Instrument> keys) throws IOException {
    List<Journal.Entry> toChange = new ArrayList<>();
    Map<String, Long> checksums = new HashMap<>();
    for (Map.Entry<String, WavChunks.Instrument> of : keys.entrySet()) {
      Journal.Entry entry = journal.find(of.getKey());
      checksums.put(of.getKey(), entry.crc32());
      if (!hasKeys(file(of.getKey()), of.getValue())) {
        toChange.add(entry);
      }
    }
    if (toChange.isEmpty()) {
      return checksums;
    }
    // Marked as begun again, so that a build killed now makes them again.
    journal.beginAgain(toChange);
    List<Journal.Entry> changed = new ArrayList<>();
    for (Journal.Entry entry : toChange) {
      Path file = file(entry.file());
      WavKeys.set(file, keys.get(entry.file()));
      long checksum = Checksums.of(file);
      checksums.put(entry.file(), checksum);
      changed.add(
          new Journal.Entry(
              entry.file(), entry.recipe(), Files.size(file), checksum, entry.sample()));
    }
    journal.done(changed);
    return checksums;
  }

  private static boolean hasKeys(Path file, WavChunks.Instrument keys) throws IOException {
    try (AudioFile audio = AudioFile.openChecked(file)) {
      WavChunks chunks = audio.chunks();
      return keys.equals(chunks.instrument())
          && chunks.sampler() != null
          && chunks.sampler().unityNote() == keys.unityNote();
    }
  }

  /** Writes a file and returns what is known of the sample; null if it is none. */
  public interface Maker {
    MadeSample make(Path file) throws IOException;
  }

  /**
   * Writes the index, and removes files of an earlier build that it does not name, if they are as
   * they were written.
   *
   * @param others further files that stay
   * @return what is new, changed or gone since the last build that was finished
   */
  public Changes finish(List<IndexRow> rows, Collection<String> others) throws IOException {
    // A person may have opened it in a spreadsheet while the build ran.
    requireOwn(INDEX);
    make(
        INDEX,
        "",
        file -> {
          AtomicFile.replace(file, IndexCsv.write(rows));
          return null;
        });
    Set<String> current = new HashSet<>(others);
    current.add(INDEX);
    rows.stream().filter(r -> !r.file().isEmpty()).forEach(r -> current.add(r.file()));
    for (Journal.Entry entry : journal.entries()) {
      if (!current.contains(entry.file()) && entry.written() && unchanged(entry)) {
        if (entry.sample() != null) {
          earlier.keep(entry.file());
        }
        CheckedFile.delete(folder.resolve(entry.file()));
      }
    }
    journal.keepOnly(current);
    List<IndexRow> last = earlier.table();
    Changes changes = changes(last == null, files(last == null ? List.of() : last), files(rows));
    changes.write(folder);
    return changes;
  }

  /** As {@link takewright.library.Build#end}. */
  public static void end(Path folder) throws IOException {
    EarlierSamples.end(folder);
  }

  private Changes changes(boolean isFirst, Set<String> last, Set<String> now) {
    return new Changes(
        isFirst,
        now.stream().filter(name -> !last.contains(name)).toList(),
        now.stream().filter(name -> last.contains(name) && earlier.has(name)).toList(),
        last.stream().filter(name -> !now.contains(name)).toList());
  }

  private static Set<String> files(List<IndexRow> rows) {
    Set<String> files = new LinkedHashSet<>();
    rows.stream()
        .map(IndexRow::file)
        .filter(file -> file != null && !file.isEmpty())
        .forEach(files::add);
    return files;
  }

  private boolean unchanged(Journal.Entry entry) throws IOException {
    Path file = folder.resolve(entry.file());
    return Files.isRegularFile(file, LinkOption.NOFOLLOW_LINKS)
        && Files.size(file) == entry.size()
        && Checksums.of(file) == entry.crc32();
  }
}
