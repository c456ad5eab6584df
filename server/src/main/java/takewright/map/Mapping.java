package takewright.map;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SortedMap;
import java.util.TreeMap;
import takewright.map.Velocities.Range;

/**
 * Lays samples on keys and velocities. Every key between a root and its reach plays exactly one
 * root, the nearest, the lower of two as near; every velocity of it plays exactly one dynamic.
 */
public final class Mapping {
  /** Default release, in milliseconds (common practice). */
  static final double USUAL_RELEASE_MS = 300;

  /**
   * The same for taps and phrases, which are triggered by a short stroke and heard to their end:
   * long enough not to cut them off.
   */
  static final double STRUCK_RELEASE_MS = 5000;

  private static final int KEYS = 128;

  private Mapping() {}

  /** The map of all samples, for each articulation and layer separately. */
  public static KeyMap apply(List<MapSample> samples, MapSettings settings) {
    Map<List<String>, List<MapSample>> groups = new LinkedHashMap<>();
    for (MapSample sample : samples) {
      groups
          .computeIfAbsent(List.of(sample.articulation(), sample.layer()), g -> new ArrayList<>())
          .add(sample);
    }
    List<Zone> zones = new ArrayList<>();
    List<KeyMap.Gap> gaps = new ArrayList<>();
    List<String> leftOut = new ArrayList<>();
    groups.values().forEach(group -> map(group, settings, zones, gaps, leftOut));
    return new KeyMap(zones, gaps, leftOut);
  }

  private static void map(
      List<MapSample> group,
      MapSettings settings,
      List<Zone> zones,
      List<KeyMap.Gap> gaps,
      List<String> leftOut) {
    SortedMap<Integer, List<MapSample>> roots = new TreeMap<>();
    SortedMap<Integer, List<MapSample>> rootless = new TreeMap<>();
    for (MapSample sample : group) {
      if (sample.midi() != null) {
        roots.computeIfAbsent(sample.midi(), r -> new ArrayList<>()).add(sample);
      } else {
        // Taps and phrases: each round robin gets a key of its own.
        rootless.computeIfAbsent(sample.rr(), r -> new ArrayList<>()).add(sample);
      }
    }
    Velocities velocities = Velocities.of(group, settings.velocity());
    int[] rootOf = nearestRoots(List.copyOf(roots.keySet()), settings.reachSemitones());
    for (Map.Entry<Integer, List<MapSample>> root : roots.entrySet()) {
      int low = root.getKey();
      int high = root.getKey();
      while (low > 0 && rootOf[low - 1] == root.getKey()) {
        low--;
      }
      while (high < KEYS - 1 && rootOf[high + 1] == root.getKey()) {
        high++;
      }
      lay(root.getValue(), root.getKey(), low, high, velocities, zones);
    }
    int key = settings.firstKey();
    for (List<MapSample> samples : rootless.values()) {
      while (key < KEYS && rootOf[key] >= 0) {
        key++;
      }
      if (key >= KEYS) {
        samples.forEach(sample -> leftOut.add(sample.file()));
        continue;
      }
      lay(samples, key, key, key, velocities, zones);
      key++;
    }
    if (!roots.isEmpty()) {
      findGaps(group.get(0), rootOf, roots.firstKey(), roots.lastKey(), gaps);
    }
  }

  /** By key: its root, or -1. */
  private static int[] nearestRoots(List<Integer> roots, int reach) {
    int[] nearest = new int[KEYS];
    for (int key = 0; key < KEYS; key++) {
      nearest[key] = -1;
      int min = reach + 1;
      for (int root : roots) {
        if (Math.abs(key - root) < min) {
          min = Math.abs(key - root);
          nearest[key] = root;
        }
      }
    }
    return nearest;
  }

  private static void findGaps(
      MapSample of, int[] rootOf, int lowest, int highest, List<KeyMap.Gap> gaps) {
    for (int key = lowest; key <= highest; key++) {
      int from = key;
      while (rootOf[key] < 0) {
        key++;
      }
      if (key > from) {
        gaps.add(new KeyMap.Gap(of.articulation(), of.layer(), from, key - 1));
      }
    }
  }

  /** Places the samples of one root: dynamics over velocities, round robins in turn. */
  private static void lay(
      List<MapSample> samples,
      int root,
      int low,
      int high,
      Velocities velocities,
      List<Zone> zones) {
    Map<String, List<MapSample>> byDynamic = new LinkedHashMap<>();
    samples.forEach(s -> byDynamic.computeIfAbsent(s.dynamic(), d -> new ArrayList<>()).add(s));
    for (Map.Entry<String, Range> range :
        velocities.among(List.copyOf(byDynamic.keySet())).entrySet()) {
      List<MapSample> turns = new ArrayList<>(byDynamic.get(range.getKey()));
      turns.sort(Comparator.comparingInt(MapSample::rr));
      for (int i = 0; i < turns.size(); i++) {
        MapSample s = turns.get(i);
        zones.add(
            new Zone(
                s.file(),
                s.articulation(),
                s.layer(),
                s.dynamic(),
                root,
                low,
                high,
                range.getValue().low(),
                range.getValue().high(),
                i + 1,
                turns.size(),
                s.gainDb(),
                s.loopStart(),
                s.loopEnd(),
                s.releaseMs() != null
                    ? s.releaseMs()
                    : s.midi() == null ? STRUCK_RELEASE_MS : USUAL_RELEASE_MS,
                range.getValue().isAll() ? null : velocities.rule()));
      }
    }
  }
}
