package takewright.sheet;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.diagnosis.Problem;
import takewright.layer.Effect;
import takewright.layer.RoomShape;

/** Reads the layers of a sheet. */
final class LayerReader {
  private static final Set<String> LAYER_KEYS =
      words(
          "name",
          "articulations",
          "impulse",
          "room",
          "wet_db",
          "pre_delay_ms",
          "wet_only",
          "chain",
          "gain_db");
  private static final Set<String> ROOM_KEYS =
      words("length_m", "width_m", "height_m", "absorption");
  private static final Set<String> EFFECTS =
      words(
          "high_pass",
          "low_pass",
          "band_pass",
          "low_shelf",
          "high_shelf",
          "delay",
          "reverb",
          "saturation",
          "width",
          "reverse",
          "gain");
  private static final Set<String> BAND_KEYS = words("hz", "q");
  private static final Set<String> SHELF_KEYS = words("hz", "gain_db");
  private static final Set<String> DELAY_KEYS =
      words("time_ms", "note", "tempo_bpm", "feedback", "low_pass", "wet_db");
  private static final Set<String> REVERB_KEYS = words("decay_s", "damping", "wet_db");

  /** Turns a file name of the sheet into a path, or says what is wrong and gives null. */
  interface Files {
    Path path(Fields fields, int line, String name);
  }

  private LayerReader() {}

  private static Set<String> words(String... words) {
    return Collections.unmodifiableSet(new LinkedHashSet<>(Arrays.asList(words)));
  }

  /** The layers that a sheet names. */
  static List<Layer> read(Fields sheet, Files files) {
    List<Layer> layers = new ArrayList<>();
    for (Fields fields : sheet.mappings("layers", LAYER_KEYS)) {
      Layer read = layer(fields, files);
      if (read == null) {
        continue;
      }
      for (Layer other : layers) {
        if (other.name().equals(read.name()) && overlap(other, read)) {
          fields.error(
              read.line(),
              "layer \""
                  + read.name()
                  + "\" stands twice, first on line "
                  + other.line()
                  + "; give it another name, or each its own `articulations`");
          read = null;
          break;
        }
      }
      if (read != null) {
        layers.add(read);
      }
    }
    return layers;
  }

  private static boolean overlap(Layer a, Layer b) {
    return a.articulations().isEmpty()
        || b.articulations().isEmpty()
        || !Collections.disjoint(a.articulations(), b.articulations());
  }

  private static Layer layer(Fields fields, Files files) {
    fields.require(fields.line(), "name", "write name: close, for instance");
    String name = fields.text("name");
    List<String> articulations = new ArrayList<>();
    for (Fields.Item item : fields.texts("articulations", true)) {
      articulations.add(item.text());
    }
    String impulse = fields.text("impulse");
    RoomShape room = room(fields);
    boolean hasRoom = fields.has("impulse") || fields.has("room");
    double wetDb = fields.number("wet_db", -60, 12, "dB", Layer.DEFAULT_WET_DB);
    double preDelayMs = fields.number("pre_delay_ms", 0, 500, "ms", 0.0);
    boolean wetOnly = fields.word("wet_only", yesAndNo(), false);
    List<ChainLink> chain = new ArrayList<>();
    for (Fields effect : fields.mappings("chain", EFFECTS)) {
      effect(effect, chain);
    }
    refuseContradictions(fields, hasRoom);
    boolean made = hasRoom || fields.has("chain");
    double gainDb = fields.number("gain_db", -60, 24, "dB", made ? Layer.DEFAULT_GAIN_DB : 0.0);
    if (name == null) {
      return null;
    }
    Path path = impulse == null ? null : files.path(fields, fields.line("impulse"), impulse);
    return new Layer(
        fields.line(), name, articulations, path, room, wetDb, preDelayMs, wetOnly, chain, gainDb);
  }

  private static Map<String, Boolean> yesAndNo() {
    Map<String, Boolean> words = new LinkedHashMap<>();
    words.put("yes", true);
    words.put("no", false);
    words.put("true", true);
    words.put("false", false);
    return words;
  }

  private static void refuseContradictions(Fields fields, boolean hasRoom) {
    for (String key : List.of("impulse", "room")) {
      if (fields.has(key) && fields.has("chain")) {
        fields.error(
            fields.line("chain"),
            "a layer has `" + key + "` or `chain`, not both; make it two layers");
      }
    }
    if (fields.has("impulse") && fields.has("room")) {
      fields.error(fields.line("room"), "a layer has `impulse` or `room`, not both; leave one out");
    }
    for (String key : List.of("wet_db", "pre_delay_ms", "wet_only")) {
      if (fields.has(key) && !hasRoom) {
        fields.error(
            fields.line(key),
            "`" + key + "` goes with `impulse` or `room`; add that or leave this out");
      }
    }
    if (!hasRoom && !fields.has("chain")) {
      for (String key : List.of("gain_db", "articulations")) {
        if (fields.has(key)) {
          fields.error(
              fields.line(key),
              "`" + key + "` goes with a layer that is made; add `impulse`, `room` or `chain`");
        }
      }
    }
  }

  private static RoomShape room(Fields layer) {
    Fields fields = layer.mapping("room", ROOM_KEYS);
    if (fields == null) {
      return null;
    }
    RoomShape usual = RoomShape.DEFAULTS;
    try {
      return new RoomShape(
          fields.number("length_m", 2, 100, "m", usual.lengthM()),
          fields.number("width_m", 2, 100, "m", usual.widthM()),
          fields.number("height_m", 2, 100, "m", usual.heightM()),
          fields.number("absorption", 0.02, 0.9, "", usual.absorption()));
    } catch (IllegalArgumentException e) {
      fields.error(fields.line(), "`room`: " + e.getMessage());
      return null;
    }
  }

  private static void effect(Fields fields, List<ChainLink> chain) {
    if (fields.keys().size() > 1) {
      fields.error(
          fields.line(),
          "an item of `chain` is one effect, not " + fields.keys().size() + "; begin each with -");
      return;
    }
    for (String key : fields.keys()) {
      ChainLink link =
          switch (key) {
            case "delay" -> delay(fields.mapping(key, DELAY_KEYS));
            default -> {
              Effect effect = plain(fields, key);
              yield effect == null ? null : new ChainLink(effect, null);
            }
          };
      if (link != null) {
        chain.add(link);
      }
    }
  }

  private static Effect plain(Fields fields, String key) {
    switch (key) {
      case "high_pass" -> {
        Double hz = hz(fields, key);
        return hz == null ? null : new Effect.HighPass(hz);
      }
      case "low_pass" -> {
        Double hz = hz(fields, key);
        return hz == null ? null : new Effect.LowPass(hz);
      }
      case "band_pass" -> {
        Fields band = fields.mapping(key, BAND_KEYS);
        Double hz = required(band, "hz", 10, 20_000, "Hz", "write hz: 1000, for instance");
        return hz == null ? null : new Effect.BandPass(hz, band.number("q", 0.1, 30, "", 1.0));
      }
      case "low_shelf", "high_shelf" -> {
        Fields shelf = fields.mapping(key, SHELF_KEYS);
        Double hz = required(shelf, "hz", 10, 20_000, "Hz", "write hz: 400, for instance");
        Double db = required(shelf, "gain_db", -24, 24, "dB", "write gain_db: -3, for instance");
        return hz == null || db == null ? null : new Effect.Shelf(key.equals("high_shelf"), hz, db);
      }
      case "reverb" -> {
        Fields reverb = fields.mapping(key, REVERB_KEYS);
        Double decay = required(reverb, "decay_s", 0.1, 30, "s", "write decay_s: 4, for instance");
        return decay == null
            ? null
            : new Effect.Reverb(
                decay,
                reverb.number("damping", 0, 1, "", Effect.Reverb.DEFAULT_DAMPING),
                reverb.number("wet_db", -60, 12, "dB", Effect.DEFAULT_WET_DB));
      }
      case "saturation" -> {
        Double db = fields.number(key, 0, 24, "dB", null);
        return db == null ? null : new Effect.Saturation(db);
      }
      case "width" -> {
        Double ratio = fields.number(key, 0, 2, "", null);
        return ratio == null ? null : new Effect.Width(ratio);
      }
      case "reverse" -> {
        return fields.word(key, yesAndNo(), false) ? new Effect.Reverse() : null;
      }
      default -> {
        Double db = fields.number(key, -60, 24, "dB", null);
        return db == null ? null : new Effect.Gain(db);
      }
    }
  }

  private static Double hz(Fields fields, String key) {
    return fields.number(key, 10, 20_000, "Hz", null);
  }

  /** A number that must be there; null where it is not, or wrong. */
  private static Double required(
      Fields fields, String key, double min, double max, String unit, String remedy) {
    if (fields == null) {
      return null;
    }
    fields.require(fields.line(), key, remedy);
    return fields.number(key, min, max, unit, null);
  }

  private static ChainLink delay(Fields fields) {
    if (fields == null) {
      return null;
    }
    String note = fields.text("note");
    if (fields.has("note") && fields.has("time_ms")) {
      fields.error(fields.line("note"), "`delay` has `time_ms` or `note`, not both; leave one out");
    }
    if (fields.has("tempo_bpm") && !fields.has("note")) {
      fields.error(
          fields.line("tempo_bpm"), "`tempo_bpm` goes with `note`; add that or leave this out");
    }
    Double timeMs =
        note != null
            ? Double.valueOf(1)
            : required(fields, "time_ms", 1, 5000, "ms", "write time_ms: 380, for instance");
    Double tempo = fields.number("tempo_bpm", 10, 400, "beats per minute", null);
    double feedback = fields.number("feedback", 0, 0.95, "", 0.0);
    Double lowPassHz = fields.number("low_pass", 10, 20_000, "Hz", null);
    double wetDb = fields.number("wet_db", -60, 12, "dB", Effect.DEFAULT_WET_DB);
    if (timeMs == null) {
      return null;
    }
    ChainLink link = new ChainLink(new Effect.Delay(timeMs, feedback, lowPassHz, wetDb), note);
    if (note == null) {
      return link;
    }
    try {
      // At a middling tempo where the take's is not known yet: it shows whether it is a note value.
      Effect known = link.at(tempo == null ? 120.0 : tempo);
      return tempo == null ? link : new ChainLink(known, null);
    } catch (IllegalArgumentException e) {
      fields.error(fields.line("note"), "`delay`: " + e.getMessage());
      return null;
    }
  }

  /** Says where a delay is in note values and a take has no tempo. */
  static void requireTempos(List<Layer> layers, List<Take> takes, List<Problem> problems) {
    for (Layer layer : layers) {
      for (ChainLink link : layer.chain()) {
        for (Take take : takes) {
          if (link.noteValue() == null || !layer.isFor(take.articulation())) {
            continue;
          }
          if (take.tempoBpm() == null) {
            problems.add(
                Problem.error(
                    layer.line(),
                    "layer \""
                        + layer.name()
                        + "\" has a delay of "
                        + link.noteValue()
                        + ", but take "
                        + take.name()
                        + " has no `tempo_bpm`; give it there or in the delay"));
          } else {
            timeFits(layer, link, take, problems);
          }
        }
      }
    }
  }

  private static void timeFits(Layer layer, ChainLink link, Take take, List<Problem> problems) {
    try {
      link.at(take.tempoBpm());
    } catch (IllegalArgumentException e) {
      problems.add(
          Problem.error(
              layer.line(),
              "layer \"" + layer.name() + "\" with take " + take.name() + ": " + e.getMessage()));
    }
  }
}
