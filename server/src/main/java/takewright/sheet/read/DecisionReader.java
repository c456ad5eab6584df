package takewright.sheet.read;

import java.util.ArrayList;
import java.util.List;
import takewright.diagnosis.SettingException;
import takewright.sheet.Take;
import takewright.sheet.decision.Decision;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Value;

/** Reads what a person says of places in a take. */
final class DecisionReader {
  static final Key<List<Value.Item>> KEEP =
      Key.oneOrMore(
          "keep", "Times in the take whose regions are samples, whatever they sound like.");
  static final Key<List<Value.Item>> DROP =
      Key.oneOrMore("drop", "Times in the take whose regions are left out.");
  static final Key<List<Value.Item>> ROOM_TONE =
      Key.texts("room_tone", "Where nobody plays, from and to: [12.0, 14.5].");

  private DecisionReader() {}

  /** What `keep` and `drop` say, in the order of the sheet. */
  static List<Decision> decisions(Fields take) {
    List<Decision> decisions = new ArrayList<>();
    for (Key<List<Value.Item>> key : List.of(KEEP, DROP)) {
      for (Value.Item item : take.get(key)) {
        try {
          Decision decision = Decision.of(key == KEEP, item.text(), item.line());
          refuseContradiction(take, key, decision, decisions);
          decisions.add(decision);
        } catch (SettingException e) {
          take.error(item.line(), key.name(), e.problem().what(), e.problem().remedy());
        }
      }
    }
    return decisions;
  }

  private static void refuseContradiction(
      Fields take, Key<?> key, Decision decision, List<Decision> decisions) {
    for (Decision other : decisions) {
      if (other.keep() != decision.keep() && other.overlaps(decision)) {
        take.error(
            decision.line(),
            key.name(),
            "names " + decision.text() + ", which is kept on line " + other.line(),
            "take one of them out");
      }
    }
  }

  /** The stretch of room tone that the sheet names, in seconds; null if it names none. */
  static List<Double> roomTone(Fields take) {
    if (!take.has(ROOM_TONE)) {
      return null;
    }
    List<Double> times = new ArrayList<>();
    try {
      for (Value.Item item : take.get(ROOM_TONE)) {
        times.add(Decision.of(true, item.text(), item.line()).fromS());
      }
    } catch (SettingException e) {
      times.clear();
    }
    if (times.size() == 2 && times.get(1) - times.get(0) >= Take.MIN_ROOM_TONE_S) {
      return times;
    }
    take.error(
        ROOM_TONE,
        "is not two times in the take, at least half a second apart",
        "write from and to: [12.0, 14.5]");
    return null;
  }
}
