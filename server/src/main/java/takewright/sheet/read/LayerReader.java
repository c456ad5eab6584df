package takewright.sheet.read;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import takewright.diagnosis.SettingException;
import takewright.layer.RoomShape;
import takewright.sheet.ChainLink;
import takewright.sheet.Layer;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;
import takewright.sheet.read.yaml.Value;

/** Reads the layers of a sheet. */
final class LayerReader {
  /** The layer of a take with one file, where the sheet names none. */
  static final String LAYER_OF_FILE = "close";

  private static final RoomShape USUAL = RoomShape.DEFAULTS;

  private static final Key<Double> LENGTH =
      Key.number("length_m", 2, 100, "m", USUAL.lengthM(), "Length of the room in metres.");
  private static final Key<Double> WIDTH =
      Key.number("width_m", 2, 100, "m", USUAL.widthM(), "Width of the room in metres.");
  private static final Key<Double> HEIGHT =
      Key.number("height_m", 2, 100, "m", USUAL.heightM(), "Height of the room in metres.");
  private static final Key<Double> ABSORPTION =
      Key.number(
          "absorption",
          0.02,
          0.9,
          "",
          USUAL.absorption(),
          "Share of the energy that each wall absorbs.");
  private static final Section SHAPE = Section.of("`room`", LENGTH, WIDTH, HEIGHT, ABSORPTION);

  private static final Key<String> NAME =
      Key.text("name", "Name of the layer, for the sample names.").required("close");
  private static final Key<List<Value.Item>> ARTICULATIONS =
      Key.oneOrMore(
          "articulations", "The articulations that it is made for; all, where not given.");
  private static final Key<String> IMPULSE =
      Key.text("impulse", "Impulse response of a room to play the recording through.");
  private static final Key<Fields> ROOM =
      Key.section("room", SHAPE, "A computed room to play the recording through.");
  private static final Key<Double> WET_DB =
      Key.number(
          "wet_db", -60, 12, "dB", Layer.DEFAULT_WET_DB, "Level of the room against the sound.");
  private static final Key<Double> PRE_DELAY =
      Key.number("pre_delay_ms", 0, 500, "ms", 0.0, "How much later the room sets in.");
  private static final Key<Boolean> WET_ONLY =
      Key.yesOrNo("wet_only", false, "Whether the room is heard alone.");
  private static final Key<Double> GAIN_DB =
      Key.number("gain_db", -60, 24, "dB", null, "Gain of the whole layer; -6 where not given.");
  private static final Section LAYER =
      Section.of(
          "a layer",
          NAME,
          ARTICULATIONS,
          IMPULSE,
          ROOM,
          WET_DB,
          PRE_DELAY,
          WET_ONLY,
          ChainReader.CHAIN,
          GAIN_DB);

  static final Key<List<Fields>> LAYERS =
      Key.sections("layers", LAYER, "The ways in which every note is to be heard.");

  private final SheetFolder folder;

  LayerReader(SheetFolder folder) {
    this.folder = folder;
  }

  /**
   * The layers of a sheet; where it names none, those that the takes were recorded for.
   *
   * @param recorded layers that the takes' `files` name
   */
  List<Layer> read(Fields sheet, Set<String> recorded) {
    if (!sheet.has(LAYERS)) {
      Set<String> names = new LinkedHashSet<>(recorded);
      if (names.isEmpty()) {
        names.add(LAYER_OF_FILE);
      }
      return names.stream().map(name -> Layer.recorded(0, name)).toList();
    }
    List<Layer> layers = named(sheet);
    if (!layers.isEmpty() && layers.stream().noneMatch(Layer::isRecorded)) {
      sheet.error(
          LAYERS,
          "lacks the recording itself: a layer without `impulse`, `room` and `chain`",
          "add one such as {name: close}");
    }
    return layers;
  }

  private List<Layer> named(Fields sheet) {
    List<Layer> layers = new ArrayList<>();
    for (Fields fields : sheet.get(LAYERS)) {
      Layer layer = layer(fields);
      if (layer == null) {
        continue;
      }
      Layer other = layers.stream().filter(l -> clash(l, layer)).findFirst().orElse(null);
      if (other == null) {
        layers.add(layer);
      } else {
        fields.error(
            layer.line(),
            LAYERS.name(),
            "has \"" + layer.name() + "\" twice, first on line " + other.line(),
            "give it another name, or each its own `articulations`");
      }
    }
    return layers;
  }

  private static boolean clash(Layer a, Layer b) {
    return a.name().equals(b.name())
        && (a.articulations().isEmpty()
            || b.articulations().isEmpty()
            || !Collections.disjoint(a.articulations(), b.articulations()));
  }

  private Layer layer(Fields fields) {
    String name = fields.get(NAME);
    List<String> articulations = fields.get(ARTICULATIONS).stream().map(Value.Item::text).toList();
    String impulse = fields.get(IMPULSE);
    RoomShape room = room(fields);
    boolean hasRoom = fields.has(IMPULSE) || fields.has(ROOM);
    double wetDb = fields.get(WET_DB);
    double preDelayMs = fields.get(PRE_DELAY);
    boolean wetOnly = fields.get(WET_ONLY);
    List<ChainLink> chain = ChainReader.read(fields);
    refuseContradictions(fields, hasRoom);
    boolean made = hasRoom || fields.has(ChainReader.CHAIN);
    double gainDb = fields.get(GAIN_DB, made ? Layer.DEFAULT_GAIN_DB : 0.0);
    if (name == null) {
      return null;
    }
    Path path = impulse == null ? null : folder.path(fields, IMPULSE, impulse);
    return new Layer(
        fields.line(), name, articulations, path, room, wetDb, preDelayMs, wetOnly, chain, gainDb);
  }

  private static void refuseContradictions(Fields fields, boolean hasRoom) {
    fields.refuseBoth(IMPULSE, ChainReader.CHAIN, "make it two layers");
    fields.refuseBoth(ROOM, ChainReader.CHAIN, "make it two layers");
    fields.refuseBoth(IMPULSE, ROOM, "leave one out");
    for (Key<?> key : List.of(WET_DB, PRE_DELAY, WET_ONLY)) {
      if (fields.has(key) && !hasRoom) {
        fields.error(key, "needs `impulse` or `room`", "add one or leave this out");
      }
    }
    if (!hasRoom && !fields.has(ChainReader.CHAIN)) {
      for (Key<?> key : List.of(GAIN_DB, ARTICULATIONS)) {
        if (fields.has(key)) {
          fields.error(
              key, "is for layers that are made, not recorded", "add `impulse`, `room` or `chain`");
        }
      }
    }
  }

  private static RoomShape room(Fields layer) {
    Fields fields = layer.get(ROOM);
    if (fields == null) {
      return null;
    }
    try {
      return new RoomShape(
          fields.get(LENGTH), fields.get(WIDTH), fields.get(HEIGHT), fields.get(ABSORPTION));
    } catch (SettingException e) {
      fields.error(fields.line(), e.problem().field(), e.problem().what(), e.problem().remedy());
      return null;
    }
  }

  /** Notes where a delay is in note values and a take has no tempo. */
  static void requireTempos(List<Layer> layers, List<Take> takes, List<SheetProblem> problems) {
    for (Layer layer : layers) {
      for (ChainLink link : layer.chain()) {
        for (Take take : takes) {
          if (link.noteValue() != null && layer.isFor(take.articulation())) {
            requireTempo(layer, link, take, problems);
          }
        }
      }
    }
  }

  private static void requireTempo(
      Layer layer, ChainLink link, Take take, List<SheetProblem> problems) {
    if (take.tempoBpm() == null) {
      problems.add(
          SheetProblem.error(
              layer.line(),
              "delay",
              String.format(
                  "of layer \"%s\" lasts %s, but take %s has no `tempo_bpm`",
                  layer.name(), link.noteValue(), take.name()),
              "give it there or in the delay"));
      return;
    }
    try {
      link.at(take.tempoBpm());
    } catch (SettingException e) {
      problems.add(
          SheetProblem.error(
              layer.line(),
              "delay",
              String.format(
                  "of layer \"%s\" does not suit take %s: `%s` %s",
                  layer.name(), take.name(), e.problem().field(), e.problem().what()),
              e.problem().remedy()));
    }
  }
}
