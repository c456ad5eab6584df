package takewright.sheet;

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
import takewright.diagnosis.Problem;
import takewright.map.MapSettings;
import takewright.name.NamePattern;
import takewright.name.NamingStyle;
import takewright.name.Nearest;
import takewright.name.NoteNames;
import takewright.pitch.Kind;
import takewright.retune.Temperament;
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
          "tuning",
          "middle_c",
          "accidentals",
          "sharp_sign",
          "name",
          "output",
          "lead_in_ms",
          "levels",
          "loop",
          "trim_round_robins",
          "layers",
          "map",
          "takes");
  private static final Set<String> OUTPUT_KEYS = words("sample_rate", "bit_depth");
  private static final Set<String> TUNING_KEYS =
      words("temperament", "temperament_root", "offsets_cents", "limit_cents", "steady_pitch");
  private static final Set<String> LEVEL_KEYS = words("gain", "max_db");
  private static final Set<String> MAP_KEYS = words("reach_semitones", "velocities", "first_key");
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
          "lead_in_ms",
          "tune",
          "loop",
          "trim_round_robins",
          "keep",
          "drop",
          "room_tone");

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
    TuningRules tuning = tuning(fields.mapping("tuning", TUNING_KEYS), naming.noteNames());
    LevelRules levels = levels(fields.mapping("levels", LEVEL_KEYS));
    Output output = output(fields.mapping("output", OUTPUT_KEYS));
    Usual usual =
        new Usual(
            leadInMs(fields, SegmentSettings.DEFAULTS.leadInMs()),
            yesOrNo(fields, "loop", null),
            yesOrNo(fields, "trim_round_robins", false));
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
      Take take = take(takes.size(), takeFields.get(i), microphones.get(i), layers, naming, usual);
      if (take != null) {
        takes.add(take);
      }
    }
    MapSettings map = map(fields.mapping("map", MAP_KEYS), naming.noteNames());
    LayerReader.requireTempos(layers, takes, problems);
    Sheet sheet =
        new Sheet(file, library, tuningHz, tuning, levels, naming, output, layers, map, takes);
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

  /**
   * What the sheet says for all takes that do not say otherwise; loop is null where it does not.
   */
  private record Usual(double leadInMs, Boolean loop, boolean trim) {}

  private static Boolean yesOrNo(Fields fields, String key, Boolean otherwise) {
    Map<String, Boolean> words = new LinkedHashMap<>();
    words.put("yes", true);
    words.put("no", false);
    return fields.word(key, words, otherwise);
  }

  private static TuningRules tuning(Fields fields, NoteNames names) {
    TuningRules usual = TuningRules.DEFAULTS;
    if (fields == null) {
      return usual;
    }
    Temperament temperament = fields.word("temperament", Temperament.byName(), usual.temperament());
    String root = fields.text("temperament_root");
    if (fields.has("offsets_cents")) {
      if (fields.has("temperament")) {
        fields.error(
            fields.line("offsets_cents"),
            "`tuning` has `temperament` or `offsets_cents`, not both; leave one out");
      }
      temperament = offsets(fields, temperament);
    }
    if (root != null && !fields.has("temperament")) {
      fields.error(
          fields.line("temperament_root"),
          "`temperament_root` goes with `temperament`; add that or leave this out");
    } else if (root != null) {
      try {
        // The octave says nothing here; names.parse wants one.
        temperament = temperament.rootedAt(names.parse(root + "4") - names.parse("C4"));
      } catch (IllegalArgumentException e) {
        fields.error(
            fields.line("temperament_root"),
            "`temperament_root` must be a note without octave such as D or Eb, not " + root);
      }
    }
    return new TuningRules(
        temperament,
        fields.number("limit_cents", 0, 1200, "cents", usual.limitCents()),
        yesOrNo(fields, "steady_pitch", usual.steadyPitch()));
  }

  private static Temperament offsets(Fields fields, Temperament otherwise) {
    List<Double> offsets = new ArrayList<>();
    try {
      for (Fields.Item item : fields.texts("offsets_cents", false)) {
        offsets.add(Double.parseDouble(item.text()));
      }
      return new Temperament(offsets);
    } catch (IllegalArgumentException e) {
      fields.error(
          fields.line("offsets_cents"),
          "`offsets_cents` must hold twelve numbers, the cents that C, C#, D, ... B lie above equal"
              + " temperament, each -100 to 100");
      return otherwise;
    }
  }

  private static LevelRules levels(Fields fields) {
    LevelRules usual = LevelRules.DEFAULTS;
    if (fields == null) {
      return usual;
    }
    Map<String, LevelRules.GainPlace> places = new LinkedHashMap<>();
    for (LevelRules.GainPlace place : LevelRules.GainPlace.values()) {
      places.put(place.name().toLowerCase(Locale.ROOT), place);
    }
    return new LevelRules(
        fields.word("gain", places, usual.gain()),
        fields.number("max_db", 0, 24, "dB", usual.maxDb()));
  }

  private static Treatment treatment(
      Fields fields, Kind kind, String articulation, boolean hasNotes, Usual usual) {
    Treatment ofKind = Treatment.usual(kind);
    Boolean loop = yesOrNo(fields, "loop", usual.loop());
    boolean looped = loop == null || kind != Kind.PITCHED ? ofKind.looped() : loop;
    if (loop != null && loop && kind != Kind.PITCHED && fields.has("loop")) {
      fields.error(
          fields.line("loop"),
          "`loop: yes` goes with kind pitched, not " + kind.word() + "; leave it out");
    }
    boolean tuned = ofKind.tuned() && !soundsElsewhere(articulation);
    Double shift = null;
    String tune = fields.text("tune");
    if (tune != null) {
      Double cents = null;
      try {
        cents = Double.valueOf(tune);
      } catch (NumberFormatException e) {
        tuned = tune.equals("yes");
      }
      if (cents != null && Math.abs(cents) <= 1200) {
        tuned = false;
        shift = cents;
      } else if (cents != null || !tune.equals("yes") && !tune.equals("no")) {
        fields.error(
            fields.line("tune"),
            "`tune` must be yes, no, or how far all samples are moved, -1200 to 1200 cents; not "
                + tune);
      } else if (tuned && !hasNotes) {
        fields.error(
            fields.line("tune"),
            "`tune: yes` needs `notes` to tune to; give how many cents to move the samples, or"
                + " leave it out");
      }
    }
    return new Treatment(
        tuned,
        shift,
        looped,
        loop != null && loop && fields.has("loop"),
        yesOrNo(fields, "trim_round_robins", usual.trim()));
  }

  /** Harmonics sound at other pitches than the notes that stand for them. */
  private static boolean soundsElsewhere(String articulation) {
    String name = articulation == null ? "" : articulation.toLowerCase(Locale.ROOT);
    return name.contains("harmonic") || name.contains("flageolet");
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
    if (!fields.has("layers")) {
      Set<String> names = new LinkedHashSet<>();
      for (Fields files : microphones) {
        if (files != null) {
          names.addAll(files.keys());
        }
      }
      if (names.isEmpty()) {
        names.add(LAYER_OF_FILE);
      }
      return names.stream().map(name -> Layer.recorded(0, name)).toList();
    }
    List<Layer> layers = LayerReader.read(fields, this::path);
    if (!layers.isEmpty() && layers.stream().noneMatch(Layer::isRecorded)) {
      fields.error(
          fields.line("layers"),
          "`layers` needs one without `impulse` and `chain`: the recording itself, such as {name:"
              + " close}");
    }
    return layers;
  }

  private static MapSettings map(Fields fields, NoteNames names) {
    MapSettings usual = MapSettings.DEFAULTS;
    if (fields == null) {
      return usual;
    }
    Map<String, Boolean> velocities = new LinkedHashMap<>();
    velocities.put("loudness", false);
    velocities.put("even", true);
    int firstKey = usual.firstKey();
    String key = fields.text("first_key");
    if (key != null) {
      try {
        firstKey = names.parse(key);
      } catch (IllegalArgumentException e) {
        fields.error(fields.line("first_key"), "`first_key`: " + e.getMessage());
      }
    }
    return new MapSettings(
        fields.whole("reach_semitones", 0, 24, usual.reachSemitones()),
        fields.word("velocities", velocities, usual.evenVelocities()),
        firstKey);
  }

  /** A take, or null where too little of it is right. */
  private Take take(
      int index,
      Fields fields,
      Fields microphones,
      List<Layer> layers,
      NamingStyle naming,
      Usual usual) {
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
    Double tempoBpm = fields.number("tempo_bpm", 10, 400, "beats per minute", null);
    for (String key : List.of("beats_per_bar", "bars")) {
      if (fields.has(key) && !fields.has("tempo_bpm")) {
        fields.error(
            fields.line(key), "`" + key + "` goes with `tempo_bpm`; add that or leave this out");
      }
    }
    int beatsPerBar = fields.whole("beats_per_bar", 1, 32, 4);
    int bars = fields.whole("bars", 1, 1000, 1);
    double leadInMs = leadInMs(fields, usual.leadInMs());
    Treatment treatment = treatment(fields, kind, articulation, !notes.isEmpty(), usual);
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
        leadInMs,
        decisions,
        treatment,
        roomTone(fields));
  }

  private static double leadInMs(Fields fields, double usual) {
    return fields.number("lead_in_ms", 0, 1000, "ms", usual);
  }

  /** The stretch of room tone that the sheet names, in seconds; null where it names none. */
  private static List<Double> roomTone(Fields fields) {
    if (!fields.has("room_tone")) {
      return null;
    }
    List<Double> times = new ArrayList<>();
    for (Fields.Item item : fields.texts("room_tone", false)) {
      try {
        times.add(Decision.of(true, item.text(), item.line()).fromS());
      } catch (IllegalArgumentException e) {
        times.clear();
        break;
      }
    }
    if (times.size() == 2 && times.get(1) - times.get(0) >= Take.MIN_ROOM_TONE_S) {
      return times;
    }
    fields.error(
        fields.line("room_tone"),
        "`room_tone` must be two times in the take, from and to, at least half a second apart:"
            + " [12.0, 14.5]");
    return null;
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
        files.put(recorded.isEmpty() ? LAYER_OF_FILE : recorded.keySet().iterator().next(), name);
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
