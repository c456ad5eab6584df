package takewright.library.match;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import takewright.dsp.Medians;
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

  /**
   * The range in even steps of which most notes are these; null if they are of none.
   *
   * @param notes MIDI note numbers from the lowest up, two at least
   * @param minShare share of the range that they must hold, 0 to 1
   */
  static List<Integer> range(List<Integer> notes, double minShare) {
    int step = Integer.MAX_VALUE;
    for (int i = 1; i < notes.size(); i++) {
      step = Math.min(step, notes.get(i) - notes.get(i - 1));
    }
    List<Integer> range = new ArrayList<>();
    for (int midi = notes.get(0); midi <= notes.get(notes.size() - 1); midi += step) {
      range.add(midi);
    }
    return range.containsAll(notes) && notes.size() >= minShare * range.size() ? range : null;
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

  /** The regions without those that are shorter than this share of the usual one. */
  static List<Region> asLongAs(double share, List<Region> regions) {
    double[] lengths =
        regions.stream().filter(r -> !r.rejected()).mapToDouble(Region::heardFrames).toArray();
    double usual = lengths.length == 0 ? 0 : Medians.of(lengths);
    return regions.stream().filter(r -> r.heardFrames() >= share * usual).toList();
  }
}
