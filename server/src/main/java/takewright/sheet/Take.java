package takewright.sheet;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.audio.AudioPiece;
import takewright.audio.Recording;
import takewright.pitch.Kind;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Decision;
import takewright.sheet.decision.Fix;

/**
 * One long recording and what it should hold.
 *
 * @param index place in the sheet, from 0
 * @param lines where the sheet says what it should hold
 * @param name its first file, as the sheet writes it, without the numbers of channels
 * @param files recordings made together by the name of their layer, at least one, the main
 *     microphone first; absolute paths
 * @param span the part of them that is this take
 * @param articulation for instance "sustain"
 * @param kind how its regions are to be treated
 * @param plan what it should hold
 * @param fills what it does with cells that other takes ask for
 * @param tempo the beat to which it was played; null if it was not
 * @param leadInMs silence kept before each onset, in milliseconds, 0 to 1000
 * @param rules how it is cut, cleaned, tuned and levelled
 * @param decisions a person's word on some of its regions
 * @param fixes a person's corrections of some of its regions; of the same thing the last holds
 * @param treatment what is done to its samples
 * @param roomTone where nobody plays, in seconds, from and to; null: it is found
 */
public record Take(
    int index,
    TakeLines lines,
    String name,
    Map<String, Recording> files,
    Span span,
    String articulation,
    Kind kind,
    TakePlan plan,
    Fills fills,
    Tempo tempo,
    double leadInMs,
    TakeRules rules,
    List<Decision> decisions,
    List<Fix> fixes,
    Treatment treatment,
    List<Double> roomTone) {
  /** Shorter room tone tells too little of the noise, in seconds. */
  public static final double MIN_ROOM_TONE_S = 0.5;

  /** What tells the cells of one take apart. */
  public enum Axis {
    /** The note. */
    NOTE,
    /** The dynamic. */
    DYNAMIC,
    /** The round robin. */
    RR
  }

  public Take {
    files = Collections.unmodifiableMap(new LinkedHashMap<>(files));
    decisions = List.copyOf(decisions);
    fixes = List.copyOf(fixes);
    roomTone = roomTone == null ? null : List.copyOf(roomTone);
  }

  /** The same take played through in another way. */
  public Take played(List<Integer> otherNotes, List<Axis> otherOrder) {
    return planned(new TakePlan(otherNotes, dynamics(), roundRobins(), otherOrder));
  }

  /** The same take with each note played so often at each dynamic. */
  public Take repeated(int otherRoundRobins) {
    return planned(new TakePlan(notes(), dynamics(), otherRoundRobins, order()));
  }

  /** The same take at other dynamics. */
  public Take at(List<String> otherDynamics) {
    return planned(new TakePlan(notes(), otherDynamics, roundRobins(), order()));
  }

  private Take planned(TakePlan other) {
    return with(files, other, fixes);
  }

  /** The same take, whose files are named by where they really are. */
  Take reached(Sheet.Reach reach) throws IOException {
    Map<String, Recording> reached = new LinkedHashMap<>();
    for (Map.Entry<String, Recording> microphone : files.entrySet()) {
      List<AudioPiece> pieces = new ArrayList<>();
      for (AudioPiece piece : microphone.getValue().pieces()) {
        pieces.add(
            new AudioPiece(reach.of(piece.file()), piece.firstChannel(), piece.lastChannel()));
      }
      reached.put(microphone.getKey(), new Recording(pieces));
    }
    return with(reached, plan, fixes);
  }

  /** The same take with further corrections, which hold over those that it has. */
  public Take fixed(List<Fix> further) {
    List<Fix> all = new ArrayList<>(fixes);
    all.addAll(further);
    return with(files, plan, all);
  }

  /** The same take with other corrections. */
  public Take withFixes(List<Fix> others) {
    return with(files, plan, others);
  }

  private Take with(Map<String, Recording> otherFiles, TakePlan otherPlan, List<Fix> otherFixes) {
    return new Take(
        index,
        lines,
        name,
        otherFiles,
        span,
        articulation,
        kind,
        otherPlan,
        fills,
        tempo,
        leadInMs,
        rules,
        decisions,
        otherFixes,
        treatment,
        roomTone);
  }

  /** Whether a person said that a cell stays empty. */
  boolean acceptsAsMissing(Cell cell) {
    return fixes.stream().anyMatch(fix -> fix.acceptsMissing() && fix.cell().fits(cell));
  }

  /** Number of cells it should hold, with those that a person accepts as missing. */
  public int cellCount() {
    return plan.cellCount();
  }

  /** MIDI note numbers in the order played; empty if it has none. */
  public List<Integer> notes() {
    return plan.notes();
  }

  /** Dynamics in the order played, at least one. */
  public List<String> dynamics() {
    return plan.dynamics();
  }

  /** How often each note is played at each dynamic. */
  public int roundRobins() {
    return plan.roundRobins();
  }

  /** What changes slowest to fastest while playing; all three. */
  public List<Axis> order() {
    return plan.order();
  }

  /** Beats per minute where it was played to a beat; null otherwise. */
  public Double tempoBpm() {
    return tempo == null ? null : (Double) tempo.bpm();
  }

  /** Length of each sample in seconds where it was played to a beat; null otherwise. */
  public Double barsLengthS() {
    return tempo == null ? null : (Double) tempo.lengthS();
  }

  /** The main microphone's recording. */
  public Recording main() {
    return files.values().iterator().next();
  }

  /** The files of all microphones. */
  public List<Path> paths() {
    return files.values().stream().flatMap(one -> one.files().stream()).toList();
  }

  /** Where the sheet names it, from 1. */
  public int line() {
    return lines.take();
  }
}
