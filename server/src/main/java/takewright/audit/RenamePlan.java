package takewright.audit;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.MappingIterator;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvParser;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import takewright.audio.original.AtomicFile;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Problem;

/**
 * A plan of new names for the files of a folder.
 *
 * <p>As a file it is CSV with the columns {@code from,to,via}: all files first go from their names
 * to the third, which no other file has, then to the second, both in the order of the plan. So
 * swaps and rings work, also where case does not count in names, and a run that was interrupted can
 * be seen and finished by running the same plan again, or taken back by its undo plan.
 */
public final class RenamePlan {
  private static final List<String> COLUMNS = List.of("from", "to", "via");

  private static final CsvMapper CSV =
      CsvMapper.builder()
          .enable(CsvParser.Feature.WRAP_AS_ARRAY)
          .enable(CsvParser.Feature.SKIP_EMPTY_LINES)
          // The last line is the mark by which a plan that nobody changed may be replaced.
          .enable(CsvParser.Feature.ALLOW_COMMENTS)
          .build();

  /** How the names in between begin. The dot hides them from other programs. */
  private static final String VIA = ".takewright-rename-";

  private RenamePlan() {}

  /**
   * One file's new name; all three are relative to the folder, with "/".
   *
   * @param from the name it has
   * @param to the name it gets
   * @param via the name in between
   */
  public record Rename(String from, String to, String via) {}

  /** What can be renamed, and what cannot, with the reason. */
  record Draft(List<Rename> renames, List<String> left) {}

  /** New names for files that sound another note than their name says. */
  static Draft draft(List<AuditedFile> files, NoteReading reading) {
    Map<String, AuditedFile> there = new HashMap<>();
    Map<AuditedFile, String> wanted = new HashMap<>();
    List<AuditedFile> wrong = new ArrayList<>();
    for (AuditedFile file : files) {
      there.put(key(file.file()), file);
      if (file.isWrongNote()) {
        wrong.add(file);
        wanted.put(file, file.name().with(file.token(), reading.spell(file.sounds())));
      }
    }
    List<String> left = new ArrayList<>();
    boolean again = true;
    while (again) {
      again = false;
      Set<String> taken = new HashSet<>();
      for (AuditedFile file : List.copyOf(wrong)) {
        String to = wanted.get(file);
        AuditedFile holder = there.get(key(to));
        boolean free = holder == null || wrong.contains(holder);
        if (!free || !taken.add(key(to))) {
          left.add(
              file.file()
                  + " would become "
                  + to
                  + ", which is the name of another file: listen to both");
          wrong.remove(file);
          again = true;
        }
      }
    }
    List<Rename> renames = new ArrayList<>();
    for (AuditedFile file : wrong) {
      String to = wanted.get(file);
      int slash = file.file().lastIndexOf('/') + 1;
      // It contains the old name, for whoever finds it.
      String via =
          file.file().substring(0, slash)
              + VIA
              + renames.size()
              + "-"
              + file.file().substring(slash);
      renames.add(new Rename(file.file(), to, via));
    }
    return new Draft(renames, left);
  }

  /** Whether a file has a name in between, which only an interrupted plan leaves. */
  static boolean isHalfRenamed(Path file) {
    return file.getFileName().toString().startsWith(VIA);
  }

  /** Writes a plan, instead of an earlier one that nobody has changed since. */
  public static void write(Path file, List<Rename> renames) throws IOException {
    List<Object> lines = new ArrayList<>();
    lines.add(COLUMNS);
    for (Rename rename : renames) {
      lines.add(List.of(rename.from(), rename.to(), rename.via()));
    }
    AtomicFile.writeTable(file, CSV.writer(CSV.schema()).writeValueAsBytes(lines));
  }

  /**
   * Reads a plan.
   *
   * @throws IOException if it is not one; the message names the file, the line and what is wrong
   */
  public static List<Rename> read(Path file) throws IOException {
    List<Rename> renames = new ArrayList<>();
    int line = 1;
    try (MappingIterator<String[]> rows = CSV.readerFor(String[].class).readValues(file.toFile())) {
      if (!rows.hasNextValue() || !Arrays.asList(rows.nextValue()).equals(COLUMNS)) {
        throw bad(file, line, "is not a rename plan", "write a table with the columns from,to,via");
      }
      while (rows.hasNextValue()) {
        line++;
        String[] row = rows.nextValue();
        if (row.length != COLUMNS.size()) {
          throw bad(file, line, "does not have three names", "write from,to,via");
        }
        renames.add(new Rename(row[0], row[1], row[2]));
      }
    } catch (JsonProcessingException e) {
      throw bad(file, line, "is not CSV", "write the plan again with `rename_plan_file`");
    }
    return renames;
  }

  private static IOException bad(Path file, int line, String what, String remedy) {
    return new FileProblemException(
        Problem.invalid("", what, remedy).at(String.valueOf(file.getFileName()), line));
  }

  /** A name as file systems tell it from others, of which some ignore case. */
  static String key(String name) {
    return name.toLowerCase(Locale.ROOT);
  }
}
