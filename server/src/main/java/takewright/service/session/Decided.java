package takewright.service.session;

import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import takewright.sheet.decision.Verdict;

/**
 * What a person decided on the board of a session so far.
 *
 * @param notes words on notes, by their numbers
 * @param skipped cells that stay empty, by their places among those of the take, from 0
 */
record Decided(Map<Integer, Verdict> notes, Set<Integer> skipped) {
  static final Decided NOTHING = new Decided(Map.of(), Set.of());

  Decided {
    notes = Map.copyOf(notes);
    skipped = Set.copyOf(skipped);
  }

  /** The same with a word on a note; AS_HEARD takes an earlier one back. */
  Decided with(int number, Verdict verdict) {
    Map<Integer, Verdict> changed = new TreeMap<>(notes);
    if (verdict == Verdict.AS_HEARD) {
      changed.remove(number);
    } else {
      changed.put(number, verdict);
    }
    return new Decided(changed, skipped);
  }

  /** The same with a cell that stays empty, or does not any more. */
  Decided withSkipped(int cell, boolean isSkipped) {
    Set<Integer> changed = new TreeSet<>(skipped);
    if (isSkipped) {
      changed.add(cell);
    } else {
      changed.remove(cell);
    }
    return new Decided(notes, changed);
  }
}
