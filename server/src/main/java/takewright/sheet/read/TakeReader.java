package takewright.sheet.read;

import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.name.Nearest;
import takewright.name.NoteNames;
import takewright.pitch.Kind;
import takewright.segment.SegmentSettings;
import takewright.sheet.Decision;
import takewright.sheet.Layer;
import takewright.sheet.Take;
import takewright.sheet.Treatment;

/** Reads the takes of a sheet. */
final class TakeReader {
  private static final Key<String> FILE = Key.text("file", "The recording, beside the sheet.");
  private static final Key<Fields> FILES =
      Key.section(
          "files", null, "Files recorded together, by layer: {close: a.wav, overhead: b.wav}.");
  private static final Key<String> ARTICULATION =
      Key.text("articulation", "What was played, for the sample names.").required("sustain");
  private static final Key<Kind> KIND =
      Key.word("kind", kinds(), Kind.PITCHED, "How the regions are to be treated.");
  private static final Key<Double> TEMPO =
      Key.number(
          "tempo_bpm",
          10,
          400,
          "beats per minute",
          null,
          "Tempo of a take that was played to a beat: it is cut to whole bars.");
  private static final Key<Integer> BEATS_PER_BAR =
      Key.whole("beats_per_bar", 1, 32, "beats", 4, "Beats of a bar.");
  private static final Key<Integer> BARS =
      Key.whole("bars", 1, 1000, "bars", 1, "Length of each sample, in bars.");

  /** Of the whole sheet, and of a take, which says otherwise. */
  static final Key<Double> LEAD_IN =
      Key.number(
          "lead_in_ms",
          0,
          1000,
          "ms",
          SegmentSettings.DEFAULTS.leadInMs(),
          "Silence kept before each onset, in milliseconds.");

  private static final Section TAKE =
      Section.of(
          "a take",
          FILE,
          FILES,
          ARTICULATION,
          KIND,
          PlayedReader.NOTES,
          PlayedReader.DYNAMICS,
          PlayedReader.ROUND_ROBINS,
          PlayedReader.ORDER,
          TEMPO,
          BEATS_PER_BAR,
          BARS,
          LEAD_IN,
          TreatmentReader.TUNE,
          TreatmentReader.LOOP,
          TreatmentReader.TRIM,
          DecisionReader.KEEP,
          DecisionReader.DROP,
          FixReader.FIXES,
          DecisionReader.ROOM_TONE);

  static final Key<List<Fields>> TAKES =
      Key.sections("takes", TAKE, "The recordings, one item each.")
          .required("[{file: a.wav, articulation: sustain, notes: G3..A5}]");

  private final SheetFolder folder;
  private final NoteNames names;
  private final FixReader fixes;
  private final TreatmentReader treatments;
  private final double usualLeadInMs;

  /** The reader for the takes of a sheet. */
  TakeReader(SheetFolder folder, NoteNames names, Fields sheet) {
    this.folder = folder;
    this.names = names;
    fixes = new FixReader(String.valueOf(folder.sheet().getFileName()), names);
    treatments = new TreatmentReader(sheet);
    usualLeadInMs = sheet.get(LEAD_IN);
  }

  private static Map<String, Kind> kinds() {
    Map<String, Kind> kinds = new LinkedHashMap<>();
    for (Kind kind : Kind.values()) {
      kinds.put(kind.word(), kind);
    }
    return kinds;
  }

  /** The layers for which takes name files. */
  static Set<String> microphones(List<Fields> takes) {
    Set<String> layers = new LinkedHashSet<>();
    for (Fields take : takes) {
      Fields files = take.get(FILES);
      if (files != null) {
        layers.addAll(files.keys());
      }
    }
    return layers;
  }

  /**
   * A take; null if too little of it is right.
   *
   * @param index place in the sheet, from 0
   */
  Take read(int index, Fields take, List<Layer> layers) {
    Map<String, String> named = files(take, layers);
    String articulation = take.get(ARTICULATION);
    Kind kind = take.get(KIND);
    List<Integer> notes = PlayedReader.notes(take, kind, names);
    List<String> dynamics = PlayedReader.dynamics(take);
    int roundRobins = take.get(PlayedReader.ROUND_ROBINS);
    List<Take.Axis> order = PlayedReader.order(take, notes.isEmpty());
    Double tempoBpm = take.get(TEMPO);
    take.requireWith(BEATS_PER_BAR, TEMPO);
    take.requireWith(BARS, TEMPO);
    int beatsPerBar = take.get(BEATS_PER_BAR);
    int bars = take.get(BARS);
    double leadInMs = take.get(LEAD_IN, usualLeadInMs);
    Treatment treatment = treatments.read(take, kind, articulation, !notes.isEmpty());
    List<Decision> decisions = DecisionReader.decisions(take);
    List<Double> roomTone = DecisionReader.roomTone(take);
    Map<String, Path> files = paths(take, named);
    if (files.isEmpty() || articulation == null) {
      return null;
    }
    return new Take(
        index,
        take.line(),
        named.values().iterator().next(),
        files,
        articulation,
        kind,
        notes,
        dynamics,
        roundRobins,
        order,
        take.line(PlayedReader.ORDER),
        tempoBpm,
        beatsPerBar,
        bars,
        leadInMs,
        decisions,
        fixes.read(take),
        treatment,
        roomTone);
  }

  private Map<String, Path> paths(Fields take, Map<String, String> named) {
    Map<String, Path> files = new LinkedHashMap<>();
    named.forEach(
        (layer, name) -> {
          Key<?> key = take.has(FILE) ? FILE : FILES;
          Path path = folder.path(take, key, name);
          if (path != null) {
            files.put(layer, path);
          }
        });
    return files;
  }

  /** The names of the files by layer, as the sheet writes them. */
  private static Map<String, String> files(Fields take, List<Layer> layers) {
    Map<String, String> files = new LinkedHashMap<>();
    if (take.has(FILE) && take.has(FILES)) {
      take.refuseBoth(FILE, FILES, "leave one out");
      return files;
    }
    Set<String> recorded = new LinkedHashSet<>();
    layers.stream().filter(Layer::isRecorded).forEach(layer -> recorded.add(layer.name()));
    if (!take.has(FILES)) {
      take.require(FILE, "write file: sustain.wav, or files: {close: a.wav, overhead: b.wav}");
      String name = take.get(FILE);
      if (name != null) {
        files.put(
            recorded.isEmpty() ? LayerReader.LAYER_OF_FILE : recorded.iterator().next(), name);
      }
      return files;
    }
    Fields microphones = take.get(FILES);
    if (microphones != null) {
      microphones.keys().forEach(layer -> microphone(microphones, layer, recorded, files));
    }
    return files;
  }

  private static void microphone(
      Fields microphones, String layer, Set<String> recorded, Map<String, String> files) {
    String name = microphones.text(layer);
    if (name == null) {
      return;
    }
    int line = microphones.line(layer);
    if (!recorded.isEmpty() && !recorded.contains(layer)) {
      microphones.error(
          line,
          FILES.name(),
          "names \"" + layer + "\", which is not a recorded layer of `layers`",
          "did you mean \"" + Nearest.of(layer, recorded) + "\"?");
    } else if (files.containsValue(name)) {
      microphones.error(
          line,
          FILES.name(),
          "names \"" + name + "\" for two layers",
          "give each layer a file of its own");
    } else {
      files.put(layer, name);
    }
  }
}
