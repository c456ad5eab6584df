package takewright.sheet;

import java.util.List;

/**
 * What a take should hold, in the order played.
 *
 * @param notes MIDI note numbers, 0 to 127; empty if it has none
 * @param dynamics at least one
 * @param roundRobins how often each note is played at each dynamic, 1 to 999
 * @param order what changes slowest to fastest while playing; all three
 */
public record TakePlan(
    List<Integer> notes, List<String> dynamics, int roundRobins, List<Take.Axis> order) {
  public TakePlan {
    notes = List.copyOf(notes);
    dynamics = List.copyOf(dynamics);
    order = List.copyOf(order);
  }

  /** Number of cells. */
  int cellCount() {
    return Math.max(1, notes.size()) * dynamics.size() * roundRobins;
  }
}
