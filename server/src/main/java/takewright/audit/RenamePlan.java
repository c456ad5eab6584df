package takewright.audit;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.MappingIterator;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvParser;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.stream.Stream;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.CheckedFile;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;

/**
 * A plan of new names for the files of a folder.
 *
 * <p>As a file it is CSV with the columns {@code from,to,via}: all files first go from their names
 * to the third, which no other file has, then to the second. So swaps and rings work, also where
 * case does not count in names, and a run that was interrupted can be seen and finished by running
 * the same plan again.
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
      // The dot hides it from other programs; it contains the old name.
      String via =
          file.file().substring(0, slash)
              + ".takewright-rename-"
              + renames.size()
              + "-"
              + file.file().substring(slash);
      renames.add(new Rename(file.file(), to, via));
    }
    return new Draft(renames, left);
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

  /**
   * Carries a plan out, or finishes one that was interrupted. Nothing is written over: it is
   * refused as a whole where a new name is taken by a file that does not move, and where renaming
   * fails half way, what was done is undone.
   *
   * @param folder what the names are relative to
   * @param undo the plan that puts the old names back; written before anything is renamed
   * @return files renamed
   */
  public static int carryOut(Path folder, List<Rename> renames, Path undo) throws IOException {
    check(folder, renames);
    boolean interrupted = interrupted(folder, renames);
    if (!interrupted) {
      refuseTaken(folder, renames);
    }
    List<Rename> back = new ArrayList<>();
    for (Rename rename : renames) {
      back.add(new Rename(rename.to(), rename.from(), rename.via()));
    }
    write(undo, back);
    List<Path[]> done = new ArrayList<>();
    try {
      // Some names may be new already if the earlier run got that far; then no name is old any
      // more.
      boolean allAway = interrupted && !exists(folder.resolve(renames.get(0).via()));
      for (Rename rename : renames) {
        if (!allAway && !exists(folder.resolve(rename.via()))) {
          move(folder, rename.from(), rename.via(), done);
        }
      }
      for (Rename rename : renames) {
        if (exists(folder.resolve(rename.via()))) {
          move(folder, rename.via(), rename.to(), done);
        }
      }
    } catch (IOException e) {
      for (int i = done.size() - 1; i >= 0; i--) {
        CheckedFile.move(done.get(i)[1], done.get(i)[0]);
      }
      throw e;
    }
    return renames.size();
  }

  /** Whether a plan was interrupted. */
  public static boolean interrupted(Path folder, List<Rename> renames) {
    return renames.stream().anyMatch(r -> exists(folder.resolve(r.via())));
  }

  private static void move(Path folder, String from, String to, List<Path[]> done)
      throws IOException {
    Path source = folder.resolve(from);
    Path target = folder.resolve(to);
    CheckedFile.move(source, target);
    done.add(new Path[] {source, target});
  }

  /** Names stay in their folder, and no two files get one name. */
  private static void check(Path folder, List<Rename> renames) throws IOException {
    Set<String> froms = new HashSet<>();
    Set<String> tos = new HashSet<>();
    Set<String> vias = new HashSet<>();
    for (Rename rename : renames) {
      Path from = plain(folder, rename.from());
      if (!from.getParent().equals(plain(folder, rename.to()).getParent())
          || !from.getParent().equals(plain(folder, rename.via()).getParent())) {
        throw FileProblemException.invalid(
            rename.from(), "would leave its folder", "keep each file in its own folder");
      }
      if (!froms.add(rename.from()) || !tos.add(key(rename.to())) || !vias.add(key(rename.via()))) {
        throw FileProblemException.invalid(
            rename.from(), "or its new name stands twice in the plan", "leave one out");
      }
    }
  }

  private static Path plain(Path folder, String name) throws IOException {
    Path root = folder.toRealPath();
    Path path;
    try {
      path = root.resolve(name);
    } catch (java.nio.file.InvalidPathException e) {
      throw FileProblemException.invalid(name, "cannot be a file name", "correct the plan");
    }
    // With a symbolic link on the way, the file would be elsewhere.
    if (name.isEmpty()
        || !path.normalize().equals(path)
        || !path.startsWith(root)
        || path.equals(root)
        || (exists(path.getParent()) && !path.getParent().toRealPath().equals(path.getParent()))) {
      throw FileProblemException.invalid(name, "does not lie in the folder", "correct the plan");
    }
    return path;
  }

  private static void refuseTaken(Path folder, List<Rename> renames) throws IOException {
    Set<String> leaving = new HashSet<>();
    for (Rename rename : renames) {
      if (!exists(folder.resolve(rename.from()))) {
        throw new FileProblemException(
            Reason.NOT_THERE,
            folder.resolve(rename.from()).toString(),
            "is named in the plan but does not exist",
            "audit the folder again");
      }
      leaving.add(rename.from());
    }
    Set<String> staying = new HashSet<>();
    Set<Path> parents = new HashSet<>();
    for (Rename rename : renames) {
      parents.add(folder.resolve(rename.from()).getParent());
    }
    for (Path parent : parents) {
      try (Stream<Path> files = Files.list(parent)) {
        files
            .map(path -> folder.relativize(path).toString().replace('\\', '/'))
            .filter(name -> !leaving.contains(name))
            .forEach(name -> staying.add(key(name)));
      }
    }
    for (Rename rename : renames) {
      if (staying.contains(key(rename.to())) || staying.contains(key(rename.via()))) {
        throw new FileProblemException(
            Reason.ALREADY_THERE,
            folder.resolve(rename.to()).toString(),
            "exists already and would be written over; nothing was renamed",
            "move it away, or audit the folder again");
      }
    }
  }

  private static boolean exists(Path path) {
    return Files.exists(path, LinkOption.NOFOLLOW_LINKS);
  }

  private static String key(String name) {
    return name.toLowerCase(Locale.ROOT);
  }
}
