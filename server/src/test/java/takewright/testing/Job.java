package takewright.testing;

import com.fasterxml.jackson.databind.MappingIterator;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvSchema;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.Stream;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.library.Build;
import takewright.library.BuildListener;
import takewright.library.BuildOrder;
import takewright.library.BuildResult;

/** A folder in which takes are written and libraries built from sheets. */
public final class Job {
  private final Path folder;

  public Job(Path folder) {
    this.folder = folder;
  }

  /** Writes a take of 24 bits. */
  public Job take(String name, Clip clip) {
    try {
      WavWriter.write(folder.resolve(name), clip, 24, WavChunks.NONE);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    return this;
  }

  /** Builds a sheet into the folder {@code out}. */
  public BuildResult build(String out, String sheet) {
    try {
      Path file = Files.writeString(folder.resolve(out + ".yaml"), sheet);
      return Build.run(file, folder.resolve(out), progress -> {}, () -> false);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** The same with a file of decisions. */
  public BuildResult build(String out, String sheet, String decisions) {
    try {
      Path file = Files.writeString(folder.resolve(out + ".yaml"), sheet);
      Path decided = Files.writeString(folder.resolve(out + "-decisions.yaml"), decisions);
      BuildOrder order = new BuildOrder(file, folder.resolve(out), decided);
      return Build.run(order, progress -> {}, BuildListener.NOBODY, () -> false);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** The same of only some cells. */
  public BuildResult buildOnly(String out, String sheet, String cells) {
    try {
      Path file = Files.writeString(folder.resolve(out + ".yaml"), sheet);
      BuildOrder order = BuildOrder.of(file, folder.resolve(out)).only(cells);
      return Build.run(order, progress -> {}, BuildListener.NOBODY, () -> false);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** A file of the folder. */
  public Path file(String name) {
    return folder.resolve(name);
  }

  /** The samples of a library whose names hold all of these words, by name. */
  public List<Path> samples(String out, String... words) {
    try (Stream<Path> files = Files.list(folder.resolve(out))) {
      return files
          .filter(file -> file.toString().endsWith(".wav"))
          .filter(file -> Stream.of(words).allMatch(file.getFileName().toString()::contains))
          .sorted()
          .toList();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** Columns of the rows of a library's index.csv that have a value in another column. */
  public List<String[]> rows(String out, String where, String is, String... columns) {
    CsvSchema header = CsvSchema.emptySchema().withHeader();
    List<String[]> rows = new ArrayList<>();
    try (MappingIterator<Map<String, String>> read =
        new CsvMapper()
            .readerForMapOf(String.class)
            .with(header)
            .readValues(folder.resolve(out).resolve("index.csv").toFile())) {
      while (read.hasNext()) {
        Map<String, String> row = read.next();
        if (is.equals(row.get(where))) {
          rows.add(Stream.of(columns).map(row::get).toArray(String[]::new));
        }
      }
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    return rows;
  }

  /** The only sample whose name holds all of these words. */
  public Path sample(String out, String... words) {
    List<Path> found = samples(out, words);
    if (found.size() != 1) {
      throw new AssertionError(String.join(" ", words) + ": " + samples(out));
    }
    return found.get(0);
  }

  /** The files of a library by name: samples, tables and key maps, not its page and journal. */
  public static Map<String, byte[]> contents(Path library) throws IOException {
    Map<String, byte[]> all = new TreeMap<>();
    try (Stream<Path> files = Files.list(library)) {
      for (Path file : files.filter(Files::isRegularFile).toList()) {
        all.put(file.getFileName().toString(), Files.readAllBytes(file));
      }
    }
    return all;
  }
}
