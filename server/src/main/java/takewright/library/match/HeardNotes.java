package takewright.library.match;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import takewright.segment.Region;

/**
 * Which notes are heard in a take, how often, whatever its sheet says.
 *
 * @param counts how many regions there are of each MIDI note number
 */
record HeardNotes(TreeMap<Integer, Integer> counts) {
  /**
   * @param minConfidence confidence from which a pitch counts
   */
  static HeardNotes of(List<Region> regions, double minConfidence) {
    TreeMap<Integer, Integer> counts = new TreeMap<>();
    for (Region region : regions) {
      boolean isSure =
          !region.rejected()
              && region.pitch() != null
              && region.pitch().confidence() >= minConfidence;
      if (isSure) {
        counts.merge(region.pitch().midi(), 1, Integer::sum);
      }
    }
    return new HeardNotes(counts);
  }

  /** Regions that count. */
  int regions() {
    return counts.values().stream().mapToInt(n -> n).sum();
  }

  /** Regions whose note is not among these. */
  int outside(Set<Integer> notes) {
    return counts.entrySet().stream()
        .filter(heard -> !notes.contains(heard.getKey()))
        .mapToInt(Map.Entry::getValue)
        .sum();
  }

  /** How many of these notes are not heard at all. */
  int unheard(Set<Integer> notes) {
    Set<Integer> left = new HashSet<>(notes);
    left.removeAll(counts.keySet());
    return left.size();
  }

  /** The notes that are heard at least so often, from the lowest up. */
  List<Integer> atLeast(double times) {
    List<Integer> notes = new ArrayList<>();
    counts.forEach(
        (midi, n) -> {
          if (n >= times) {
            notes.add(midi);
          }
        });
    return notes;
  }
}
