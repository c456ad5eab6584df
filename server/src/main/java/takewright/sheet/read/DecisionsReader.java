package takewright.sheet.read;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import org.yaml.snakeyaml.nodes.MappingNode;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.Place;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.decision.Fix;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;
import takewright.sheet.read.yaml.SheetText;

/**
 * Reads a file of decisions: the {@code fixes} of a sheet in a file of their own, grouped by the
 * names of the takes. It is YAML, and so JSON as well.
 *
 * <pre>{@code
 * takes:
 *   - file: tremolo.wav
 *     articulation: tremolo   # only where several takes share the file
 *     fixes:
 *       - {at: 96.27, note: G5}
 * }</pre>
 */
public final class DecisionsReader {
  private static final Key<String> FILE =
      Key.text("file", "The take, as the sheet names its first file.").required("tremolo.wav");
  private static final Key<String> ARTICULATION =
      Key.text("articulation", "Tells several takes of that file apart.");
  private static final Key<List<Fields>> TAKES =
      Key.sectionsIfAny(
          "takes",
          Section.of("a take of the decisions", FILE, ARTICULATION, FixReader.FIXES),
          "The takes with corrections, one item each.");
  private static final Section DECISIONS = Section.of("a file of decisions", TAKES);

  private final Sheet sheet;
  private final Path file;
  private final List<SheetProblem> problems = new ArrayList<>();
  private final List<SheetProblem> warnings = new ArrayList<>();

  private DecisionsReader(Sheet sheet, Path file) {
    this.sheet = sheet;
    this.file = file;
  }

  /**
   * A sheet with the decisions of a file.
   *
   * @param sheet its takes hold the fixes of both; those of the file come last, and so hold
   * @param warnings decisions about takes that the sheet does not have
   */
  public record DecidedSheet(Sheet sheet, List<SheetProblem> warnings) {
    public DecidedSheet {
      warnings = List.copyOf(warnings);
    }
  }

  /**
   * Reads a file of decisions about the takes of a sheet. An empty file holds none.
   *
   * @throws SheetException if it is not such a file or anything in it is wrong: the first such
   *     thing
   */
  public static DecidedSheet read(Sheet sheet, Path file) throws IOException {
    return new DecisionsReader(sheet, file).read();
  }

  private DecidedSheet read() throws IOException {
    SheetText text = SheetText.read(file);
    if (text.root() == null) {
      return new DecidedSheet(sheet, List.of());
    }
    if (!(text.root() instanceof MappingNode mapping)) {
      throw new SheetException(
          file,
          SheetProblem.error(
              SheetText.line(text.root()),
              "",
              "is not a file of decisions, which is a mapping with `takes`",
              "write it like takes: [{file: a.wav, fixes: [{at: 12.5, cents: -3}]}]"));
    }
    List<Take> takes = new ArrayList<>(sheet.takes());
    FixReader reader =
        new FixReader(String.valueOf(file.getFileName()), sheet.naming().noteNames());
    for (Fields decided : new Fields(text, problems, mapping, DECISIONS).get(TAKES)) {
      String name = decided.get(FILE);
      List<Fix> fixes = reader.read(decided);
      if (name != null) {
        add(takes, decided, name, fixes);
      }
    }
    if (!problems.isEmpty()) {
      throw new SheetException(file, SheetProblem.worst(problems));
    }
    return new DecidedSheet(sheet.taking(takes), warnings);
  }

  /** Adds fixes to the takes of a name: each to those that hold its time or its cell. */
  private void add(List<Take> takes, Fields decided, String name, List<Fix> fixes) {
    String articulation = decided.get(ARTICULATION);
    List<Take> named =
        takes.stream()
            .filter(take -> take.name().equals(name))
            .filter(take -> articulation == null || articulation.equals(take.articulation()))
            .toList();
    if (named.isEmpty()) {
      Set<String> names = new LinkedHashSet<>();
      takes.forEach(take -> names.add(take.name()));
      warnings.add(noTake(decided, name, articulation, names));
      return;
    }
    for (Fix fix : fixes) {
      List<Take> holding = named.stream().filter(take -> holds(take, fix)).toList();
      for (Take take : holding.isEmpty() ? named.subList(0, 1) : holding) {
        takes.set(take.index(), takes.get(take.index()).fixed(List.of(fix)));
      }
    }
  }

  private boolean holds(Take take, Fix fix) {
    return fix.isByTime()
        ? take.span().contains(fix.atS())
        : sheet.cells(take).stream().anyMatch(fix.cell()::fits);
  }

  private SheetProblem noTake(Fields decided, String name, String articulation, Set<String> names) {
    boolean named = names.contains(name);
    Place place = new Place(String.valueOf(file.getFileName()), decided.line(), FILE.name());
    return new SheetProblem(
        SheetProblem.Severity.WARNING,
        decided.line(),
        new Problem(
            Reason.INPUT_INVALID,
            "",
            place,
            named
                ? "names a take "
                    + name
                    + " of the articulation "
                    + articulation
                    + ", of which the"
                    + " sheet has none"
                : "names the take " + name + ", which the sheet does not have",
            named ? "correct the articulation" : Nearest.remedy(name, names, "")));
  }
}
