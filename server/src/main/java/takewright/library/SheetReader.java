package takewright.library;

import java.io.IOException;
import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.name.NamePattern;
import takewright.name.NamingStyle;
import takewright.name.Nearest;
import takewright.name.NoteNames;
import takewright.segment.Kind;
import takewright.segment.SegmentSettings;

/** Reads sheets. */
public final class SheetReader {
  /** More than any session holds; stops a slip of the pen from filling the memory. */
  private static final int MAX_CELLS = 100_000;

  private static final int MAX_TAKES = 1000;
  private static final String LAYER_OF_FILE = "close";

  private static final Set<String> SHEET_KEYS =
      words(
          "library",
          "tuning_hz",
          "middle_c",
          "accidentals",
          "sharp_sign",
          "name",
          "output",
          "pre_roll_ms",
          "layers",
          "takes");
  private static final Set<String> OUTPUT_KEYS = words("sample_rate", "bit_depth");
  private static final Set<String> LAYER_KEYS = words("name", "impulse", "wet_db", "chain");
  private static final Set<String> EFFECTS = words("high_pass", "low_pass", "delay", "reverb");
  private static final Set<String> DELAY_KEYS = words("time_ms", "feedback", "low_pass");
  private static final Set<String> REVERB_KEYS = words("decay_s");
  private static final Set<String> TAKE_KEYS =
      words(
          "file",
          "files",
          "articulation",
          "kind",
          "notes",
          "dynamics",
          "round_robins",
          "order",
          "tempo_bpm",
          "beats_per_bar",
          "bars",
          "pre_roll_ms",
          "keep",
          "drop");

  private static final Pattern RANGE =
      Pattern.compile("(?<first>[^./]+)\\.\\.(?<last>[^./]+)(/(?<step>.*))?");

  private final Path file;
  private final List<Problem> problems = new ArrayList<>();

  private SheetReader(Path file) {
    this.file = file.toAbsolutePath().normalize();
  }

  /**
   * Reads a sheet; the takes it names are not looked at.
   *
   * @throws SheetException where it is not a sheet or anything in it is wrong: the first such thing
   */
  public static Sheet read(Path file) throws IOException {
    return right(file, readAll(file));
  }

  /**
   * Reads a sheet that is no file.
   *
   * @param file where it would be: errors name it, and its takes lie beside it
   * @throws SheetException where it is not a sheet or anything in it is wrong: the first such thing
   */
  public static Sheet read(Path file, String text) throws SheetException {
    return right(file, new SheetReader(file).read(SheetText.of(file, text)));
  }

  private static Sheet right(Path file, Outcome outcome) throws SheetException {
    if (!outcome.problems.isEmpty()) {
      throw new SheetException(file, worst(outcome.problems));
    }
    return outcome.sheet;
  }

  /**
   * The problem to say where only one can be: the first, unless that is a missing key and another
   * is misspelt, which more likely is why.
   */
  private static Problem worst(List<Problem> problems) {
    Problem first = problems.get(0);
    return Fields.isMissingKey(first)
        ? problems.stream().filter(Fields::isUnknownKey).findFirst().orElse(first)
        : first;
  }

  /**
   * What a sheet holds as far as it is right, and everything that is wrong with it by line.
   *
   * @param nameLine where the name pattern stands; 0 where it does not
   */
  record Outcome(Sheet sheet, int nameLine, List<Problem> problems) {}

  /**
   * Reads a sheet with all that is wrong in it.
   *
   * @throws SheetException where it is not YAML
   */
  static Outcome readAll(Path file) throws IOException {
    return new SheetReader(file).read(SheetText.read(file));
  }

  private static Set<String> words(String... words) {
    return Collections.unmodifiableSet(new LinkedHashSet<>(Arrays.asList(words)));
  }

  private Outcome read(SheetText text) {
    Fields fields = Fields.root(text, problems, SHEET_KEYS);
    if (fields == null) {
      return new Outcome(null, 0, problems);
    }
    fields.require(0, "library", "write library: NAME; it goes into the names");
    fields.require(0, "takes", "list at least one take with `file` and `articulation`");
    String library = fields.text("library");
    double tuningHz = fields.number("tuning_hz", 392, 466, "Hz", 440.0);
    NamingStyle naming = naming(fields);
    Output output = output(fields.mapping("output", OUTPUT_KEYS));
    double preRollMs = preRollMs(fields, SegmentSettings.DEFAULTS.preRollMs());
    List<Fields> takeFields = fields.mappings("takes", TAKE_KEYS);
    if (takeFields.size() > MAX_TAKES) {
      fields.error(fields.line("takes"), "more than " + MAX_TAKES + " takes; split the sheet");
      takeFields = takeFields.subList(0, MAX_TAKES);
    }
    List<Fields> microphones = new ArrayList<>();
    for (Fields take : takeFields) {
      microphones.add(take.mapping("files", null));
    }
    List<Layer> layers = layers(fields, microphones);
    List<Take> takes = new ArrayList<>();
    for (int i = 0; i < takeFields.size(); i++) {
      Take take =
          take(takes.size(), takeFields.get(i), microphones.get(i), layers, naming, preRollMs);
      if (take != null) {
        takes.add(take);
      }
    }
    Sheet sheet = new Sheet(file, library, tuningHz, naming, output, layers, takes);
    findCellsAskedForTwice(sheet);
    problems.sort((a, b) -> Integer.compare(a.line(), b.line()));
    return new Outcome(sheet, fields.line("name"), problems);
  }

  private NamingStyle naming(Fields fields) {
    Map<String, Integer> octaves = new LinkedHashMap<>();
    octaves.put("C3", 3);
    octaves.put("C4", 4);
    octaves.put("C5", 5);
    Map<String, Boolean> accidentals = new LinkedHashMap<>();
    accidentals.put("sharp", false);
    accidentals.put("flat", true);
    Map<String, String> signs = new LinkedHashMap<>();
    signs.put("#", "#");
    signs.put("s", "s");
    NoteNames notes =
        new NoteNames(
            fields.word("middle_c", octaves, NoteNames.DEFAULTS.middleC()),
            fields.word("accidentals", accidentals, NoteNames.DEFAULTS.flats()),
            fields.word("sharp_sign", signs, NoteNames.DEFAULTS.sharpSign()));
    NamePattern pattern = NamePattern.DEFAULT;
    String text = fields.text("name");
    if (text != null) {
      try {
        pattern = NamePattern.of(text);
      } catch (IllegalArgumentException e) {
        fields.error(fields.line("name"), e.getMessage());
      }
    }
    return new NamingStyle(pattern, notes);
  }

  private static Output output(Fields fields) {
    if (fields == null) {
      return Output.DEFAULTS;
    }
    Map<String, Integer> depths = new LinkedHashMap<>();
    depths.put("16", 16);
    depths.put("24", 24);
    depths.put("32", 32);
    return new Output(
        fields.whole("sample_rate", 8000, 192_000, Output.DEFAULTS.sampleRate()),
        fields.word("bit_depth", depths, Output.DEFAULTS.bitDepth()));
  }

  /** The layers of the sheet; where it names none, those that the takes were recorded for. */
  private List<Layer> layers(Fields fields, List<Fields> microphones) {
    Map<String, Layer> layers = new LinkedHashMap<>();
    if (!fields.has("layers")) {
      for (Fields files : microphones) {
        if (files != null) {
          files.keys().forEach(name -> layers.putIfAbsent(name, Layer.recorded(name)));
        }
      }
      layers.computeIfAbsent(layers.isEmpty() ? LAYER_OF_FILE : firstOf(layers), Layer::recorded);
      return List.copyOf(layers.values());
    }
    for (Fields layer : fields.mappings("layers", LAYER_KEYS)) {
      Layer read = layer(layer);
      if (read == null) {
        continue;
      }
      Layer other = layers.putIfAbsent(read.name(), read);
      if (other != null) {
        layer.error(
            read.line(),
            "layer \""
                + read.name()
                + "\" stands twice, first on line "
                + other.line()
                + "; give it another name");
      }
    }
    if (!layers.isEmpty() && layers.values().stream().noneMatch(Layer::isRecorded)) {
      fields.error(
          fields.line("layers"),
          "`layers` needs one without `impulse` and `chain`: the recording itself, such as {name:"
              + " close}");
    }
    return List.copyOf(layers.values());
  }

  private static String firstOf(Map<String, Layer> layers) {
    return layers.keySet().iterator().next();
  }

  private Layer layer(Fields fields) {
    fields.require(fields.line(), "name", "write name: close, for instance");
    String name = fields.text("name");
    String impulse = fields.text("impulse");
    boolean hasImpulse = fields.has("impulse");
    double wetDb = fields.number("wet_db", -60, 12, "dB", hasImpulse ? Layer.DEFAULT_WET_DB : 0.0);
    List<Effect> chain = new ArrayList<>();
    for (Fields effect : fields.mappings("chain", EFFECTS)) {
      effect(effect, chain);
    }
    if (hasImpulse && fields.has("chain")) {
      fields.error(
          fields.line("chain"), "a layer has `impulse` or `chain`, not both; make it two layers");
    }
    if (fields.has("wet_db") && !hasImpulse) {
      fields.error(
          fields.line("wet_db"), "`wet_db` goes with `impulse`; add that or leave this out");
    }
    if (name == null) {
      return null;
    }
    Path path = impulse == null ? null : path(fields, fields.line("impulse"), impulse);
    return new Layer(fields.line(), name, path, wetDb, chain);
  }

  private static void effect(Fields fields, List<Effect> chain) {
    if (fields.keys().size() > 1) {
      fields.error(
          fields.line(),
          "an item of `chain` is one effect, not " + fields.keys().size() + "; begin each with -");
      return;
    }
    for (String key : fields.keys()) {
      switch (key) {
        case "high_pass" -> {
          Double hz = fields.number(key, 10, 20_000, "Hz", null);
          if (hz != null) {
            chain.add(new Effect.HighPass(hz));
          }
        }
        case "low_pass" -> {
          Double hz = fields.number(key, 10, 20_000, "Hz", null);
          if (hz != null) {
            chain.add(new Effect.LowPass(hz));
          }
        }
        case "delay" -> delay(fields.mapping(key, DELAY_KEYS), chain);
        default -> reverb(fields.mapping(key, REVERB_KEYS), chain);
      }
    }
  }

  private static void delay(Fields fields, List<Effect> chain) {
    if (fields == null) {
      return;
    }
    fields.require(fields.line(), "time_ms", "write time_ms: 380, for instance");
    Double timeMs = fields.number("time_ms", 1, 5000, "ms", null);
    double feedback = fields.number("feedback", 0, 0.95, "", 0.0);
    Double lowPassHz = fields.number("low_pass", 10, 20_000, "Hz", null);
    if (timeMs != null) {
      chain.add(new Effect.Delay(timeMs, feedback, lowPassHz));
    }
  }

  private static void reverb(Fields fields, List<Effect> chain) {
    if (fields == null) {
      return;
    }
    fields.require(fields.line(), "decay_s", "write decay_s: 4, for instance");
    Double decayS = fields.number("decay_s", 0.1, 30, "s", null);
    if (decayS != null) {
      chain.add(new Effect.Reverb(decayS));
    }
  }

  /** A take, or null where too little of it is right. */
  private Take take(
      int index,
      Fields fields,
      Fields microphones,
      List<Layer> layers,
      NamingStyle naming,
      double usualPreRollMs) {
    Map<String, String> names = files(fields, microphones, layers);
    fields.require(fields.line(), "articulation", "write articulation: sustain, for instance");
    String articulation = fields.text("articulation");
    Map<String, Kind> kinds = new LinkedHashMap<>();
    for (Kind kind : Kind.values()) {
      kinds.put(kind.word(), kind);
    }
    Kind kind = fields.word("kind", kinds, Kind.PITCHED);
    List<Integer> notes = notes(fields, kind, naming.noteNames());
    List<String> dynamics = dynamics(fields);
    int roundRobins = fields.whole("round_robins", 1, 999, 1);
    List<Take.Axis> order = order(fields, notes.isEmpty());
    Double tempoBpm = fields.number("tempo_bpm", 10, 400, "beats a minute", null);
    for (String key : List.of("beats_per_bar", "bars")) {
      if (fields.has(key) && !fields.has("tempo_bpm")) {
        fields.error(
            fields.line(key), "`" + key + "` goes with `tempo_bpm`; add that or leave this out");
      }
    }
    int beatsPerBar = fields.whole("beats_per_bar", 1, 32, 4);
    int bars = fields.whole("bars", 1, 1000, 1);
    double preRollMs = preRollMs(fields, usualPreRollMs);
    List<Decision> decisions = decisions(fields);
    Map<String, Path> files = new LinkedHashMap<>();
    names.forEach(
        (layer, name) -> {
          Path path = path(fields, fields.line(), name);
          if (path != null) {
            files.put(layer, path);
          }
        });
    if (files.isEmpty() || articulation == null) {
      return null;
    }
    return new Take(
        index,
        fields.line(),
        names.values().iterator().next(),
        files,
        articulation,
        kind,
        notes,
        dynamics,
        roundRobins,
        order,
        fields.line("order"),
        tempoBpm,
        beatsPerBar,
        bars,
        preRollMs,
        decisions);
  }

  private static double preRollMs(Fields fields, double usual) {
    return fields.number("pre_roll_ms", 0, 1000, "ms", usual);
  }

  /** What `keep` and `drop` say, in the order of the sheet. */
  private static List<Decision> decisions(Fields fields) {
    List<Decision> decisions = new ArrayList<>();
    for (boolean keep : new boolean[] {true, false}) {
      String key = keep ? "keep" : "drop";
      for (Fields.Item item : fields.texts(key, true)) {
        try {
          Decision decision = Decision.of(keep, item.text(), item.line());
          for (Decision other : decisions) {
            if (other.keep() != keep && other.overlaps(decision)) {
              throw new IllegalArgumentException(
                  item.text() + " is kept on line " + other.line() + " too; take one of them out");
            }
          }
          decisions.add(decision);
        } catch (IllegalArgumentException e) {
          fields.error(item.line(), "`" + key + "`: " + e.getMessage());
        }
      }
    }
    return decisions;
  }

  /** The names of the files by layer, as the sheet writes them. */
  private static Map<String, String> files(Fields fields, Fields microphones, List<Layer> layers) {
    Map<String, String> files = new LinkedHashMap<>();
    if (fields.has("file") && fields.has("files")) {
      fields.error(fields.line(), "a take has `file` or `files`, not both; leave one out");
      return files;
    }
    if (!fields.has("files")) {
      fields.require(
          fields.line(),
          "file",
          "write file: sustain.wav, for instance, or files: {close: a.wav, overhead: b.wav}");
    }
    Map<String, Layer> recorded = new LinkedHashMap<>();
    layers.stream().filter(Layer::isRecorded).forEach(layer -> recorded.put(layer.name(), layer));
    if (fields.has("file")) {
      String name = fields.text("file");
      if (name != null) {
        files.put(recorded.isEmpty() ? LAYER_OF_FILE : firstOf(recorded), name);
      }
      return files;
    }
    if (microphones == null) {
      return files;
    }
    for (String layer : microphones.keys()) {
      String name = microphones.text(layer);
      if (name == null) {
        continue;
      }
      if (!recorded.isEmpty() && !recorded.containsKey(layer)) {
        microphones.error(
            microphones.line(layer),
            "`layers` has no recorded layer \""
                + layer
                + "\"; did you mean \""
                + Nearest.of(layer, recorded.keySet())
                + "\"?");
      } else if (files.containsValue(name)) {
        microphones.error(
            microphones.line(layer),
            "\"" + name + "\" stands for two layers; give each its own file");
      } else {
        files.put(layer, name);
      }
    }
    return files;
  }

  private Path path(Fields fields, int line, String name) {
    try {
      return file.resolveSibling(name).normalize();
    } catch (InvalidPathException e) {
      fields.error(line, "\"" + name + "\" cannot be a file name; correct it");
      return null;
    }
  }

  private static List<Integer> notes(Fields fields, Kind kind, NoteNames names) {
    if (kind == Kind.UNPITCHED || kind == Kind.PHRASE) {
      if (fields.has("notes")) {
        fields.error(
            fields.line("notes"),
            "a take of kind " + kind.word() + " has no `notes`; leave them out");
      }
      return List.of();
    }
    if (kind == Kind.PITCHED) {
      fields.require(
          fields.line(), "notes", "write notes: G3..A5, for instance, or give another kind");
    }
    Map<Integer, String> notes = new LinkedHashMap<>();
    for (Fields.Item item : fields.texts("notes", true)) {
      try {
        for (int midi : range(item.text(), names)) {
          if (notes.putIfAbsent(midi, item.text()) != null) {
            fields.error(
                item.line(),
                "`notes`: "
                    + names.spell(midi)
                    + " stands twice; leave one out, or raise `round_robins`");
            break;
          }
        }
      } catch (IllegalArgumentException e) {
        fields.error(
            item.line(),
            "`notes`: "
                + e.getMessage()
                + (item.commentBehind()
                    ? " (a # behind a space begins a comment; put such a note in quotes)"
                    : ""));
      }
    }
    return List.copyOf(notes.keySet());
  }

  /** The notes of "G3", "G3..A5", "G3..A5/2" or, played downwards, "A5..G3". */
  private static List<Integer> range(String text, NoteNames names) {
    Matcher range = RANGE.matcher(text);
    if (!range.matches()) {
      return List.of(names.parse(text));
    }
    int first = names.parse(range.group("first").strip());
    int last = names.parse(range.group("last").strip());
    String step = range.group("step") == null ? "1" : range.group("step").strip();
    if (!step.matches("0*[1-9][0-9]{0,2}")) {
      throw new IllegalArgumentException(
          "the step of \"" + text + "\" must be a whole number of semitones from 1");
    }
    List<Integer> notes = new ArrayList<>();
    int by = Integer.parseInt(step);
    for (int i = 0; i <= Math.abs(last - first) / by; i++) {
      notes.add(first + (last >= first ? i : -i) * by);
    }
    return notes;
  }

  private static List<String> dynamics(Fields fields) {
    Set<String> dynamics = new LinkedHashSet<>();
    for (Fields.Item item : fields.texts("dynamics", false)) {
      if (!dynamics.add(item.text())) {
        fields.error(
            item.line(),
            "`dynamics`: " + item.text() + " stands twice; leave one out, or raise `round_robins`");
      }
    }
    return dynamics.isEmpty() ? List.of("mf") : List.copyOf(dynamics);
  }

  private static List<Take.Axis> order(Fields fields, boolean noNotes) {
    List<Take.Axis> usual = List.of(Take.Axis.NOTE, Take.Axis.DYNAMIC, Take.Axis.RR);
    Map<String, Take.Axis> axes = new LinkedHashMap<>();
    usual.forEach(axis -> axes.put(axis.name().toLowerCase(Locale.ROOT), axis));
    if (!fields.has("order")) {
      return usual;
    }
    List<Fields.Item> items = fields.texts("order", false);
    if (items.isEmpty()) {
      return usual;
    }
    List<Take.Axis> order = new ArrayList<>();
    for (Fields.Item item : items) {
      Take.Axis axis = axes.get(item.text());
      if (axis == null) {
        fields.error(
            item.line(),
            "`order`: unknown word \""
                + item.text()
                + "\"; did you mean "
                + Nearest.of(item.text(), axes.keySet())
                + "?");
        return usual;
      }
      order.add(axis);
    }
    Set<Take.Axis> named = order.isEmpty() ? Set.of() : EnumSet.copyOf(order);
    if (noNotes && !named.contains(Take.Axis.NOTE) && order.size() == 2 && named.size() == 2) {
      order.add(0, Take.Axis.NOTE);
      return order;
    }
    if (named.size() != 3 || order.size() != 3) {
      fields.error(
          fields.line("order"),
          "`order` must hold note, dynamic and rr, each once, slowest first: [note, dynamic, rr]");
      return usual;
    }
    return order;
  }

  private void findCellsAskedForTwice(Sheet sheet) {
    long count = 0;
    Map<List<Object>, Take> askedFor = new HashMap<>();
    for (Take take : sheet.takes()) {
      count += take.cellCount();
      if (count > MAX_CELLS) {
        problems.add(
            Problem.error(
                take.line(),
                "the sheet asks for more than "
                    + MAX_CELLS
                    + " samples; lower `round_robins` or"
                    + " split the sheet"));
        return;
      }
      boolean said = false;
      for (Cell cell : sheet.cells(take)) {
        List<Object> key =
            Arrays.asList(cell.articulation(), cell.midi(), cell.dynamic(), cell.rr());
        Take other = askedFor.putIfAbsent(key, take);
        if (other != null && !said) {
          said = true;
          problems.add(Problem.error(take.line(), askedForTwice(cell, other, sheet)));
        }
      }
    }
  }

  private static String askedForTwice(Cell cell, Take other, Sheet sheet) {
    String note = cell.midi() == null ? "" : sheet.naming().noteNames().spell(cell.midi()) + " ";
    return cell.articulation()
        + " "
        + note
        + cell.dynamic()
        + " round robin "
        + cell.rr()
        + " is asked for by the take on line "
        + other.line()
        + " too; give one of them another articulation, or other notes or dynamics";
  }
}
