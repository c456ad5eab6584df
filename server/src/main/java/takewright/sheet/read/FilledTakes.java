package takewright.sheet.read;

import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.diagnosis.Nearest;
import takewright.pitch.Kind;
import takewright.sheet.Fills;
import takewright.sheet.Take;
import takewright.sheet.TakeRules;
import takewright.sheet.Treatment;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;

/**
 * The takes into which a pick-up is played, from which it inherits what it leaves out.
 *
 * @param takes takes of the pick-up's articulation that have cells of their own; none for a take
 *     that is no pick-up
 */
record FilledTakes(List<Take> takes) {
  static final Key<Fills> FILLS =
      Key.word(
          "fills",
          words(),
          Fills.OWN,
          "Of a pick-up: whether it fills cells that other takes leave empty (gaps), or replaces"
              + " theirs (any).");

  private static Map<String, Fills> words() {
    Map<String, Fills> words = new LinkedHashMap<>();
    words.put("gaps", Fills.GAPS);
    words.put("any", Fills.ANY);
    return words;
  }

  /**
   * The takes that a take fills; where it is a pick-up and there are none, that is noted.
   *
   * @param articulation null if the take lacks it
   * @param own the takes with cells of their own
   */
  static FilledTakes of(Fields take, Fills fills, String articulation, List<Take> own) {
    if (!fills.isPickUp() || articulation == null) {
      return new FilledTakes(List.of());
    }
    List<Take> filled =
        own.stream().filter(other -> other.articulation().equals(articulation)).toList();
    if (filled.isEmpty()) {
      Set<String> others = new LinkedHashSet<>();
      own.forEach(other -> others.add(other.articulation()));
      String nearest = Nearest.ifNear(articulation, others);
      take.error(
          FILLS,
          "stands in a take of \"" + articulation + "\", of which there is no other take to fill",
          nearest == null ? "leave it out" : "did you mean \"" + nearest + "\"? Else leave it out");
    }
    return new FilledTakes(filled);
  }

  boolean isAny() {
    return !takes.isEmpty();
  }

  /** Those among them that ask for any of these notes; all, where the notes are new to all. */
  FilledTakes with(List<Integer> notes) {
    List<Take> same =
        takes.stream().filter(take -> take.notes().stream().anyMatch(notes::contains)).toList();
    return same.isEmpty() ? this : new FilledTakes(same);
  }

  Kind kind() {
    return isAny() ? takes.get(0).kind() : Kind.PITCHED;
  }

  /** All their notes, in the order of the sheet. */
  List<Integer> notes() {
    return takes.stream().flatMap(take -> take.notes().stream()).distinct().toList();
  }

  List<String> dynamics() {
    return isAny()
        ? takes.stream().flatMap(take -> take.dynamics().stream()).distinct().toList()
        : PlayedReader.USUAL_DYNAMICS;
  }

  int roundRobins() {
    return takes.stream().mapToInt(Take::roundRobins).max().orElse(1);
  }

  List<Take.Axis> order() {
    return isAny() ? takes.get(0).order() : PlayedReader.USUAL_ORDER;
  }

  double leadInMs(double otherwise) {
    return isAny() ? takes.get(0).leadInMs() : otherwise;
  }

  TakeRules rules(TakeRules otherwise) {
    return isAny() ? takes.get(0).rules() : otherwise;
  }

  Treatment treatment() {
    return takes.get(0).treatment();
  }
}
