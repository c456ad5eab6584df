package takewright.map;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.dsp.Medians;

/** The velocities at which each dynamic of an articulation is played. */
final class Velocities {
  /** Dynamics by name, soft to loud. */
  private static final List<String> NAMES =
      List.of("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff");

  private static final int MAX_VELOCITY = 127;

  /** However similar two dynamics are, each keeps this share of an even split. */
  private static final double MIN_SHARE = 0.4;

  /** Inclusive bounds. */
  record Range(int low, int high) {
    boolean isAll() {
      return low == 1 && high == MAX_VELOCITY;
    }
  }

  /** The dynamics from soft to loud, with the highest velocity of each. */
  private final Map<String, Integer> highest;

  private final VelocityRule rule;

  private Velocities(Map<String, Integer> highest, VelocityRule rule) {
    this.highest = highest;
    this.rule = rule;
  }

  /** By which rule they are split: evenly too where loudness was asked for and is not known. */
  VelocityRule rule() {
    return rule;
  }

  /** Splits the velocities among the dynamics of these samples, by a rule where it can be. */
  static Velocities of(List<MapSample> samples, VelocityRule rule) {
    Map<String, List<Double>> levels = new LinkedHashMap<>();
    for (MapSample s : samples) {
      List<Double> of = levels.computeIfAbsent(s.dynamic(), d -> new ArrayList<>());
      if (s.levelLufs() != null && Double.isFinite(s.levelLufs())) {
        of.add(s.levelLufs());
      }
    }
    boolean measured = levels.values().stream().noneMatch(List::isEmpty);
    List<String> dynamics = new ArrayList<>(levels.keySet());
    if (NAMES.containsAll(dynamics)) {
      dynamics.sort(Comparator.comparingInt(NAMES::indexOf));
    } else if (measured) {
      dynamics.sort(Comparator.comparingDouble(d -> Medians.of(levels.get(d))));
    }
    double[] bounds = new double[dynamics.size()];
    for (int i = 0; i < bounds.length; i++) {
      bounds[i] = (double) MAX_VELOCITY * (i + 1) / bounds.length;
    }
    boolean byLoudness = rule == VelocityRule.LOUDNESS && measured;
    if (byLoudness && bounds.length > 1) {
      byLoudness(dynamics.stream().mapToDouble(d -> Medians.of(levels.get(d))).toArray(), bounds);
    }
    Map<String, Integer> highest = new LinkedHashMap<>();
    for (int i = 0; i < bounds.length; i++) {
      highest.put(dynamics.get(i), (int) Math.round(bounds[i]));
    }
    return new Velocities(highest, byLoudness ? VelocityRule.LOUDNESS : VelocityRule.EVEN);
  }

  /**
   * Puts the bound between two dynamics at the velocity that stands for the level half-way between
   * them, with the loudest at 127: 40 log10(v / 127) dB, the curve of the DLS and General MIDI
   * Level 2 standards.
   */
  private static void byLoudness(double[] levels, double[] bounds) {
    int n = levels.length;
    for (int i = 1; i < n; i++) {
      levels[i] = Math.max(levels[i], levels[i - 1]);
    }
    double min = MIN_SHARE * MAX_VELOCITY / n;
    for (int i = n - 2; i >= 0; i--) {
      double down = levels[n - 1] - (levels[i] + levels[i + 1]) / 2;
      double wanted = MAX_VELOCITY * Math.pow(10, -down / 40);
      // Leaves room for the dynamics below and above.
      bounds[i] = Math.max(min * (i + 1), Math.min(bounds[i + 1] - min, wanted));
    }
  }

  /**
   * The ranges where only some of the dynamics are there: each also takes what would be the next
   * softer ones', the loudest all above.
   */
  Map<String, Range> among(List<String> there) {
    Map<String, Range> ranges = new LinkedHashMap<>();
    int low = 1;
    List<String> present = new ArrayList<>(highest.keySet());
    present.retainAll(there);
    for (int i = 0; i < present.size(); i++) {
      int high = i == present.size() - 1 ? MAX_VELOCITY : highest.get(present.get(i));
      ranges.put(present.get(i), new Range(low, high));
      low = high + 1;
    }
    return ranges;
  }
}
