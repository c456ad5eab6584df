package takewright.map;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.function.Function;
import java.util.function.IntFunction;

/**
 * The facts of a key map as a template asks for them: those of each sample under the names of the
 * columns of {@code map.csv}, in one list, and grouped by articulation, layer, key and dynamic. A
 * group has the facts that all of its samples share.
 */
public final class MapFacts {
  private final String library;
  private final IntFunction<String> names;

  /**
   * @param names spells a key
   */
  public MapFacts(String library, IntFunction<String> names) {
    this.library = library;
    this.names = names;
  }

  /** The facts of these zones: {@code library}, {@code samples} and {@code articulations}. */
  public Map<String, Object> of(List<Zone> zones) {
    Map<String, Object> facts = group(zones);
    facts.put("library", library);
    facts.put("articulations", groups(zones, Zone::articulation, this::articulation));
    return facts;
  }

  private Map<String, Object> articulation(List<Zone> zones) {
    Map<String, Object> facts = group(zones);
    facts.put("layers", groups(zones, Zone::layer, this::layer));
    return facts;
  }

  private Map<String, Object> layer(List<Zone> zones) {
    List<Zone> ordered = new ArrayList<>(zones);
    ordered.sort(Comparator.comparingInt(Zone::lowKey).thenComparingInt(Zone::lowVelocity));
    Map<String, Object> facts = group(zones);
    facts.put("keys", groups(ordered, Zone::root, this::key));
    return facts;
  }

  private Map<String, Object> key(List<Zone> zones) {
    Map<String, Object> facts = group(zones);
    facts.put("dynamics", groups(zones, Zone::dynamic, this::group));
    return facts;
  }

  private static <K> List<Object> groups(
      List<Zone> zones, Function<Zone, K> by, Function<List<Zone>, Map<String, Object>> facts) {
    Map<K, List<Zone>> groups = new LinkedHashMap<>();
    zones.forEach(z -> groups.computeIfAbsent(by.apply(z), k -> new ArrayList<>()).add(z));
    return new ArrayList<>(groups.values().stream().map(facts).toList());
  }

  /** The samples of a group, and what they have in common. */
  private Map<String, Object> group(List<Zone> zones) {
    List<Map<String, Object>> samples = zones.stream().map(this::sample).toList();
    Map<String, Object> facts = new LinkedHashMap<>();
    if (!samples.isEmpty()) {
      facts.putAll(samples.get(0));
      samples.forEach(sample -> facts.entrySet().retainAll(sample.entrySet()));
    }
    facts.put("samples", samples);
    facts.put("sample_count", String.valueOf(samples.size()));
    return facts;
  }

  /** The facts of a sample. */
  Map<String, Object> sample(Zone zone) {
    Map<String, Object> facts = new LinkedHashMap<>();
    facts.put("file", zone.file());
    facts.put("articulation", zone.articulation());
    facts.put("layer", zone.layer());
    facts.put("dynamic", zone.dynamic());
    facts.put("note", names.apply(zone.root()));
    facts.put("root", String.valueOf(zone.root()));
    facts.put("low_key", String.valueOf(zone.lowKey()));
    facts.put("high_key", String.valueOf(zone.highKey()));
    facts.put("low_note", names.apply(zone.lowKey()));
    facts.put("high_note", names.apply(zone.highKey()));
    facts.put("low_velocity", String.valueOf(zone.lowVelocity()));
    facts.put("high_velocity", String.valueOf(zone.highVelocity()));
    facts.put("rr", String.valueOf(zone.rr()));
    facts.put("rr_count", String.valueOf(zone.rrCount()));
    facts.put("gain_db", decimal(zone.gainDb(), 2));
    facts.put("loop_start", zone.loopStart() == null ? "" : zone.loopStart().toString());
    facts.put("loop_end", zone.loopEnd() == null ? "" : zone.loopEnd().toString());
    facts.put("release_ms", decimal(zone.releaseMs(), 1));
    facts.put("release_s", decimal(zone.releaseMs() / 1000, 4));
    facts.put(
        "velocity_rule",
        zone.velocityRule() == null ? "" : zone.velocityRule().name().toLowerCase(Locale.ROOT));
    return facts;
  }

  private static String decimal(double value, int places) {
    return BigDecimal.valueOf(value).setScale(places, RoundingMode.HALF_EVEN).toPlainString();
  }
}
