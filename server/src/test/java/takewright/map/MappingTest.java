package takewright.map;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;

class MappingTest {
  private static MapSample sample(Integer midi, String dynamic, int rr, Double lufs) {
    return new MapSample(
        midi + dynamic + rr, "sustain", "close", midi, dynamic, rr, lufs, 0, null, null, null);
  }

  private static List<Zone> answering(KeyMap map, int key, int velocity) {
    return map.zones().stream().filter(zone -> zone.answers(key, velocity)).toList();
  }

  /**
   * No covered key plays nothing at any velocity, none plays two roots or two dynamics at once, and
   * the root is the nearest one.
   */
  @Property(tries = 200)
  void everyKeyWithinReachPlaysItsNearestRootAlone(
      @ForAll @Size(min = 1, max = 12) Set<@IntRange(max = 127) Integer> roots,
      @ForAll @IntRange(max = 24) int reach,
      @ForAll VelocityRule rule,
      @ForAll @IntRange(min = 1, max = 5) int dynamics,
      @ForAll @IntRange(max = 40) int missing) {
    List<String> names = List.of("pp", "p", "mf", "f", "ff").subList(0, dynamics);
    List<MapSample> samples = new ArrayList<>();
    int n = 0;
    for (int root : roots) {
      for (int d = 0; d < dynamics; d++) {
        // One in so many is missing, but for the last dynamic.
        if (d < dynamics - 1 && n++ % 7 == missing % 7) {
          continue;
        }
        samples.add(sample(root, names.get(d), 1, -40.0 + 5 * d + root % 3));
        samples.add(sample(root, names.get(d), 2, -40.0 + 5 * d));
      }
    }
    KeyMap map = Mapping.apply(samples, new MapSettings(reach, rule, 36));
    Set<Integer> gaps = new HashSet<>();
    for (KeyMap.Gap gap : map.gaps()) {
      for (int key = gap.lowKey(); key <= gap.highKey(); key++) {
        gaps.add(key);
      }
    }
    int lowest = roots.stream().min(Integer::compare).orElseThrow();
    int highest = roots.stream().max(Integer::compare).orElseThrow();
    for (int key = 0; key < 128; key++) {
      int k = key;
      int least = roots.stream().mapToInt(r -> Math.abs(r - k)).min().orElseThrow();
      for (int velocity = 1; velocity <= 127; velocity++) {
        List<Zone> zones = answering(map, key, velocity);
        if (least > reach) {
          assertTrue(zones.isEmpty());
        } else {
          assertEquals(2, zones.size(), "two round robins of one cell");
          assertEquals(zones.get(0).root(), zones.get(1).root());
          assertEquals(zones.get(0).dynamic(), zones.get(1).dynamic());
          assertEquals(Set.of(1, 2), Set.of(zones.get(0).rr(), zones.get(1).rr()));
          assertEquals(least, Math.abs(zones.get(0).root() - key));
        }
      }
      assertEquals(least > reach && key > lowest && key < highest, gaps.contains(key));
    }
  }

  @Test
  void dynamicsAreOrderedByTheirNamesAndSplitEvenly() {
    List<MapSample> samples =
        List.of(sample(60, "f", 1, -20.0), sample(60, "p", 1, -30.0), sample(60, "mf", 1, -25.0));
    KeyMap map = Mapping.apply(samples, MapSettings.DEFAULTS);
    assertEquals("p", answering(map, 60, 1).get(0).dynamic());
    assertEquals("p", answering(map, 60, 42).get(0).dynamic());
    assertEquals("mf", answering(map, 60, 43).get(0).dynamic());
    assertEquals("mf", answering(map, 60, 85).get(0).dynamic());
    assertEquals("f", answering(map, 60, 86).get(0).dynamic());
  }

  /**
   * By hand, with the concave curve of DLS 2.2: half-way between -30 and -20 is 5 dB down, 127 *
   * 10^(-5/40) = 95.2.
   */
  @Test
  void loudnessSetsTheBound() {
    List<MapSample> samples = List.of(sample(60, "p", 1, -30.0), sample(60, "f", 1, -20.0));
    MapSettings asked = new MapSettings(4, VelocityRule.LOUDNESS, 36);
    KeyMap map = Mapping.apply(samples, asked);
    assertEquals("p", answering(map, 60, 95).get(0).dynamic());
    assertEquals("f", answering(map, 60, 96).get(0).dynamic());
    assertEquals("p", answering(map, 60, 65).get(0).dynamic());
    assertEquals(
        "f", answering(Mapping.apply(samples, MapSettings.DEFAULTS), 60, 65).get(0).dynamic());
    // Names that are no dynamics go by loudness too.
    List<MapSample> words = List.of(sample(60, "strong", 1, -20.0), sample(60, "weak", 1, -30.0));
    assertEquals("weak", answering(Mapping.apply(words, asked), 60, 20).get(0).dynamic());
  }

  @Test
  void eachZoneSaysByWhichRuleItsVelocitiesWereSplit() {
    MapSettings asked = new MapSettings(4, VelocityRule.LOUDNESS, 36);
    List<MapSample> two = List.of(sample(60, "p", 1, -30.0), sample(60, "f", 1, -20.0));
    List<MapSample> unknown = List.of(sample(60, "p", 1, null), sample(60, "f", 1, -20.0));
    assertEquals(VelocityRule.EVEN, rule(two, MapSettings.DEFAULTS));
    assertEquals(VelocityRule.LOUDNESS, rule(two, asked));
    assertEquals(VelocityRule.EVEN, rule(unknown, asked), "a loudness that is not known");
    assertEquals(null, rule(two.subList(0, 1), asked), "a single dynamic");
  }

  private static VelocityRule rule(List<MapSample> samples, MapSettings settings) {
    return Mapping.apply(samples, settings).zones().get(0).velocityRule();
  }

  @Test
  void hitsAndPhrasesLieOnSuccessiveKeys() {
    List<MapSample> samples = new ArrayList<>();
    for (int rr = 1; rr <= 12; rr++) {
      samples.add(sample(null, "p", rr, -30.0));
      samples.add(sample(null, "f", rr, -20.0));
    }
    KeyMap map = Mapping.apply(samples, new MapSettings(4, VelocityRule.EVEN, 48));
    for (int i = 0; i < 12; i++) {
      assertEquals("nullp" + (i + 1), answering(map, 48 + i, 20).get(0).file());
      assertEquals("nullf" + (i + 1), answering(map, 48 + i, 120).get(0).file());
      assertEquals(1, answering(map, 48 + i, 20).size());
    }
    assertTrue(answering(map, 60, 20).isEmpty());
    KeyMap high = Mapping.apply(samples, new MapSettings(4, VelocityRule.EVEN, 120));
    assertEquals(8, high.leftOut().size());
  }

  @Test
  void roundRobinsAreCountedAfresh() {
    KeyMap map =
        Mapping.apply(
            List.of(sample(60, "mf", 4, null), sample(60, "mf", 2, null)), MapSettings.DEFAULTS);
    assertEquals("60mf2", map.zones().get(0).file());
    assertEquals(1, map.zones().get(0).rr());
    assertEquals(2, map.zones().get(1).rr());
    assertEquals(2, map.zones().get(1).rrCount());
    assertEquals(56, map.zones().get(0).lowKey());
    assertEquals(64, map.zones().get(0).highKey());
  }
}
