package takewright.sheet.read;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.audio.Recording;
import takewright.name.NoteNames;
import takewright.pitch.Kind;
import takewright.segment.SegmentSettings;
import takewright.sheet.Fills;
import takewright.sheet.Layer;
import takewright.sheet.Span;
import takewright.sheet.Take;
import takewright.sheet.TakeLines;
import takewright.sheet.TakePlan;
import takewright.sheet.TakeRules;
import takewright.sheet.Tempo;
import takewright.sheet.Treatment;
import takewright.sheet.decision.Decision;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;

/** Reads the takes of a sheet. */
final class TakeReader {
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
          RecordingReader.FILE,
          RecordingReader.FILES,
          RecordingReader.BETWEEN,
          ARTICULATION,
          KIND,
          PlayedReader.NOTES,
          PlayedReader.DYNAMICS,
          PlayedReader.ROUND_ROBINS,
          PlayedReader.ORDER,
          FilledTakes.FILLS,
          TEMPO,
          BEATS_PER_BAR,
          BARS,
          LEAD_IN,
          RulesReader.CUTTING,
          RulesReader.LET_RING,
          RulesReader.CLEANING,
          TuningReader.TUNING,
          RulesReader.LEVELS,
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

  private final RecordingReader recordings;
  private final NoteNames names;
  private final FixReader fixes;
  private final TreatmentReader treatments;
  private final double usualLeadInMs;
  private final TakeRules usualRules;

  /** The reader for the takes of a sheet. */
  TakeReader(SheetFolder folder, NoteNames names, Fields sheet) {
    recordings = new RecordingReader(folder);
    this.names = names;
    fixes = new FixReader(String.valueOf(folder.sheet().getFileName()), names);
    treatments = new TreatmentReader(sheet);
    usualLeadInMs = sheet.get(LEAD_IN);
    usualRules = RulesReader.read(sheet, names, TakeRules.DEFAULTS);
  }

  private static Map<String, Kind> kinds() {
    Map<String, Kind> kinds = new LinkedHashMap<>();
    for (Kind kind : Kind.values()) {
      kinds.put(kind.word(), kind);
    }
    return kinds;
  }

  /**
   * A take; null if too little of it is right.
   *
   * @param index place in the sheet, from 0
   * @param fills what it does with cells that other takes ask for
   * @param own the takes with cells of their own, from which pick-ups inherit what they leave out;
   *     not looked at for other takes
   */
  Take read(int index, Fields take, List<Layer> layers, Fills fills, List<Take> own) {
    Map<String, Recording> files = recordings.recordings(take, layers);
    Span span = RecordingReader.span(take);
    String articulation = take.get(ARTICULATION);
    FilledTakes filled = FilledTakes.of(take, fills, articulation, own);
    Kind kind = take.get(KIND, filled.kind());
    boolean mayLackNotes =
        fills.isPickUp() || take.isUnclear(FilledTakes.FILLS) || take.isUnclear(KIND);
    List<Integer> notes = PlayedReader.notes(take, kind, names, mayLackNotes);
    filled = filled.with(notes);
    notes = notes.isEmpty() ? filled.notes() : notes;
    List<String> dynamics = PlayedReader.dynamics(take, filled.dynamics());
    int roundRobins = take.get(PlayedReader.ROUND_ROBINS, filled.roundRobins());
    List<Take.Axis> order = PlayedReader.order(take, notes.isEmpty(), filled.order());
    Double tempoBpm = take.get(TEMPO);
    take.requireWith(BEATS_PER_BAR, TEMPO);
    take.requireWith(BARS, TEMPO);
    int beatsPerBar = take.get(BEATS_PER_BAR);
    int bars = take.get(BARS);
    double leadInMs = take.get(LEAD_IN, filled.leadInMs(usualLeadInMs));
    Treatment treatment =
        filled.isAny() && !TreatmentReader.isIn(take)
            ? filled.treatment()
            : treatments.read(take, kind, articulation, !notes.isEmpty());
    TakeRules rules = RulesReader.read(take, names, filled.rules(usualRules));
    List<Decision> decisions = DecisionReader.decisions(take);
    List<Double> roomTone = DecisionReader.roomTone(take);
    if (files.isEmpty() || articulation == null) {
      return null;
    }
    return new Take(
        index,
        new TakeLines(
            take.line(),
            take.line(PlayedReader.NOTES),
            take.line(PlayedReader.DYNAMICS),
            take.line(PlayedReader.ROUND_ROBINS),
            take.line(PlayedReader.ORDER)),
        RecordingReader.name(take),
        files,
        span,
        articulation,
        kind,
        new TakePlan(notes, dynamics, roundRobins, order),
        fills,
        tempoBpm == null ? null : new Tempo(tempoBpm, beatsPerBar, bars),
        leadInMs,
        rules,
        decisions,
        fixes.read(take),
        treatment,
        roomTone);
  }
}
