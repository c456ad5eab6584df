package takewright.report;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.diagnosis.Flag;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.decision.Correction;
import takewright.sheet.decision.Fix;
import takewright.sheet.decision.LoopChoice;
import takewright.sheet.decision.Verdict;

/** The entries of a decisions file as the page handles them, by the keys of the file. */
final class DecisionData {
  private DecisionData() {}

  /**
   * The entries that a sheet has from a decisions file, in their order.
   *
   * @param file the decisions file; null for none
   */
  static List<Map<String, Object>> of(Sheet sheet, Path file) {
    List<Map<String, Object>> entries = new ArrayList<>();
    if (file == null) {
      return entries;
    }
    String name = file.getFileName().toString();
    for (Take take : sheet.takes()) {
      for (Fix fix : take.fixes()) {
        if (fix.place().file().equals(name)) {
          entries.add(entry(sheet, take, fix));
        }
      }
    }
    return entries;
  }

  private static Map<String, Object> entry(Sheet sheet, Take take, Fix fix) {
    Map<String, Object> entry = new LinkedHashMap<>();
    entry.put("take", take.name());
    entry.put("articulation", take.articulation());
    putIfAny(entry, "at", fix.atS());
    if (fix.cell().midi() != null) {
      entry.put("note", sheet.naming().noteNames().spell(fix.cell().midi()));
    }
    putIfAny(entry, "dynamic", fix.cell().dynamic());
    putIfAny(entry, "rr", fix.cell().rr());
    Correction correction = fix.correction();
    putIfAny(entry, "start_s", correction.startS());
    putIfAny(entry, "end_s", correction.endS());
    putIfAny(entry, "cents", correction.cents());
    putIfAny(entry, "gain_db", correction.gainDb());
    putLoop(entry, correction.loop());
    putIfAny(entry, "cleaning_db", correction.cleaningDb());
    putIfAny(entry, "fade_in_ms", correction.fades().inMs());
    putIfAny(entry, "fade_out_ms", correction.fades().outMs());
    if (correction.verdict() != null) {
      boolean drop = correction.verdict() == Verdict.DROP;
      entry.put(drop ? "drop" : "keep", correction.verdict() != Verdict.AS_HEARD);
    }
    List<String> accepted = new ArrayList<>();
    correction.accepted().stream().map(Flag::word).forEach(accepted::add);
    if (fix.acceptsMissing()) {
      accepted.add("missing");
    }
    if (!accepted.isEmpty()) {
      entry.put("accept", accepted);
    }
    return entry;
  }

  private static void putLoop(Map<String, Object> entry, LoopChoice loop) {
    if (loop != null && loop.isPlaced()) {
      entry.put("loop_s", List.of(loop.startS(), loop.endS()));
    } else if (loop != null) {
      entry.put("loop", loop.wanted());
    }
  }

  private static void putIfAny(Map<String, Object> entry, String key, Object value) {
    if (value != null) {
      entry.put(key, value);
    }
  }
}
