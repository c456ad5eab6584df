package takewright.sheet.read;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.stream.Stream;
import org.yaml.snakeyaml.nodes.MappingNode;
import takewright.name.NamingStyle;
import takewright.sheet.Fills;
import takewright.sheet.Layer;
import takewright.sheet.Output;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;
import takewright.sheet.read.yaml.SheetText;

/** Reads sheets. What keys there are is declared by the readers of its parts. */
public final class SheetReader {
  /** More than any session holds; stops a slip of the pen from filling the memory. */
  private static final int MAX_CELLS = 100_000;

  private static final int MAX_TAKES = 1000;

  private static final Key<String> LIBRARY =
      Key.text("library", "Name of the library, for the sample names.").required("NAME");
  private static final Key<Double> TUNING_HZ =
      Key.number("tuning_hz", 392, 466, "Hz", 440.0, "Frequency of A4 in hertz.");

  /** All keys of a sheet. */
  static final Section SHEET =
      Section.of(
          "a sheet",
          LIBRARY,
          AboutReader.ABOUT,
          TUNING_HZ,
          TuningReader.TUNING,
          NamingReader.MIDDLE_C,
          NamingReader.ACCIDENTALS,
          NamingReader.SHARP_SIGN,
          NamingReader.NAME,
          OutputReader.OUTPUT,
          TakeReader.LEAD_IN,
          RulesReader.CUTTING,
          RulesReader.CLEANING,
          RulesReader.LEVELS,
          TreatmentReader.LOOP,
          TreatmentReader.TRIM,
          LayerReader.LAYERS,
          MapReader.MAP,
          TakeReader.TAKES);

  private final Path file;
  private final List<SheetProblem> problems = new ArrayList<>();

  private SheetReader(Path file) {
    this.file = file.toAbsolutePath().normalize();
  }

  /**
   * Reads a sheet; the takes it names are not looked at.
   *
   * @throws SheetException if it is not a sheet or anything in it is wrong: the first such thing
   */
  public static Sheet read(Path file) throws IOException {
    return right(file, readAll(file));
  }

  /**
   * Reads a sheet that is no file.
   *
   * @param file where it would be: errors name it, and its takes lie beside it
   * @throws SheetException if it is not a sheet or anything in it is wrong: the first such thing
   */
  public static Sheet read(Path file, String text) throws SheetException {
    return right(file, new SheetReader(file).read(SheetText.of(file, text)));
  }

  private static Sheet right(Path file, Outcome outcome) throws SheetException {
    if (!outcome.problems.isEmpty()) {
      throw new SheetException(file, SheetProblem.worst(outcome.problems));
    }
    return outcome.sheet;
  }

  /**
   * What a sheet holds as far as it is right, and everything that is wrong with it by line.
   *
   * @param nameLine where the name pattern stands; 0 if it does not
   */
  public record Outcome(Sheet sheet, int nameLine, List<SheetProblem> problems) {}

  /**
   * Reads a sheet with all that is wrong in it.
   *
   * @throws SheetException if it is not YAML
   */
  public static Outcome readAll(Path file) throws IOException {
    return new SheetReader(file).read(SheetText.read(file));
  }

  private Outcome read(SheetText text) throws SheetException {
    if (text.root() == null) {
      throw new SheetException(
          file, SheetProblem.error(0, "", "is empty", "begin with library: NAME, then takes:"));
    }
    if (!(text.root() instanceof MappingNode mapping)) {
      problems.add(
          SheetProblem.error(
              SheetText.line(text.root()),
              "",
              "is not a sheet, which is a mapping with at least `library` and `takes`",
              "begin with library: NAME"));
      return new Outcome(null, 0, problems);
    }
    Fields fields = new Fields(text, problems, mapping, SHEET);
    String library = fields.get(LIBRARY);
    double tuningHz = fields.get(TUNING_HZ);
    NamingStyle naming = NamingReader.read(fields);
    Output output = OutputReader.output(fields);
    List<Fields> takeFields = takeFields(fields);
    SheetFolder folder = new SheetFolder(file);
    List<Layer> layers =
        new LayerReader(folder).read(fields, RecordingReader.microphones(takeFields));
    List<Take> takes =
        takes(new TakeReader(folder, naming.noteNames(), fields), takeFields, layers);
    LayerReader.requireTempos(layers, takes, problems);
    Sheet sheet =
        new Sheet(
            file,
            library,
            AboutReader.read(fields),
            tuningHz,
            naming,
            fields.line(NamingReader.MIDDLE_C),
            output,
            layers,
            MapReader.read(fields, naming.noteNames(), folder),
            takes);
    findCellsAskedForTwice(sheet);
    problems.sort(Comparator.comparingInt(SheetProblem::line));
    return new Outcome(sheet, fields.line(NamingReader.NAME), problems);
  }

  /** The takes as far as they are right; pick-ups are read last, since they inherit from others. */
  private static List<Take> takes(TakeReader reader, List<Fields> fields, List<Layer> layers) {
    Take[] read = new Take[fields.size()];
    List<Fills> fills = fields.stream().map(take -> take.get(FilledTakes.FILLS)).toList();
    List<Take> own = new ArrayList<>();
    for (boolean pickUps : new boolean[] {false, true}) {
      for (int i = 0; i < read.length; i++) {
        if (fills.get(i).isPickUp() == pickUps) {
          read[i] = reader.read(i, fields.get(i), layers, fills.get(i), own);
          if (read[i] != null && !pickUps) {
            own.add(read[i]);
          }
        }
      }
    }
    return Stream.of(read).filter(Objects::nonNull).toList();
  }

  private static List<Fields> takeFields(Fields fields) {
    List<Fields> takes = fields.get(TakeReader.TAKES);
    if (takes.size() <= MAX_TAKES) {
      return takes;
    }
    fields.error(TakeReader.TAKES, "holds more than " + MAX_TAKES + " takes", "split the sheet");
    return takes.subList(0, MAX_TAKES);
  }

  private void findCellsAskedForTwice(Sheet sheet) {
    long count = 0;
    Map<List<Object>, Take> askedFor = new HashMap<>();
    for (Take take : sheet.takes()) {
      count += take.cellCount();
      if (count > MAX_CELLS) {
        problems.add(
            SheetProblem.error(
                take.line(),
                "",
                "the sheet asks for more than " + MAX_CELLS + " samples",
                "lower `round_robins` or split the sheet"));
        return;
      }
      if (take.fills().isPickUp()) {
        continue;
      }
      boolean said = false;
      for (Cell cell : sheet.cells(take)) {
        List<Object> key =
            Arrays.asList(cell.articulation(), cell.midi(), cell.dynamic(), cell.rr());
        Take other = askedFor.putIfAbsent(key, take);
        if (other != null && !said) {
          said = true;
          problems.add(askedForTwice(cell, take, other, sheet));
        }
      }
    }
  }

  private static SheetProblem askedForTwice(Cell cell, Take take, Take other, Sheet sheet) {
    String note = cell.midi() == null ? "" : sheet.naming().noteNames().spell(cell.midi()) + " ";
    return SheetProblem.error(
        take.line(),
        "",
        cell.articulation()
            + " "
            + note
            + cell.dynamic()
            + " round robin "
            + cell.rr()
            + " is asked for by the take on line "
            + other.line()
            + " too",
        "give one of them another articulation, other notes or dynamics, or, if it was played to"
            + " replace or complete the other, fills: any or fills: gaps");
  }
}
