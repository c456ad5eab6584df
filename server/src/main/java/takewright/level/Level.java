package takewright.level;

import java.util.ArrayList;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * Evens out the levels of an articulation. The round robins of a note and dynamic get one loudness.
 * Along the keyboard they are drawn to a smooth curve fitted to what was played, so that an
 * instrument's own rise or fall over its range stays and a note that stands out does not. The
 * dynamics share the shape of that curve and keep the distances at which they were played; in the
 * end all of it is lowered alike where a peak would pass the ceiling.
 */
public final class Level {
  private Level() {}

  /** One cell: its note and the round robins of it. */
  private record CellOf(Integer midi, String dynamic) {}

  /**
   * The gains of all samples of one articulation, in the order given.
   *
   * @param played what was played; a sample without a loudness is moved with its cell's dynamic
   */
  public static List<NoteGain> apply(List<Played> played, LevelSettings settings) {
    return apply(played, Collections.nCopies(played.size(), settings));
  }

  /**
   * The same with settings of its own for each sample. All are still drawn to one curve.
   *
   * @param settings of each sample
   */
  public static List<NoteGain> apply(List<Played> played, List<LevelSettings> settings) {
    Map<CellOf, List<Integer>> cells = new LinkedHashMap<>();
    for (int i = 0; i < played.size(); i++) {
      Played p = played.get(i);
      cells.computeIfAbsent(new CellOf(p.midi(), p.dynamic()), c -> new ArrayList<>()).add(i);
    }
    List<CellOf> keys = new ArrayList<>(cells.keySet());
    double[] level = new double[keys.size()];
    for (int c = 0; c < level.length; c++) {
      level[c] = loudness(played, cells.get(keys.get(c)));
    }
    double[] target = targets(keys, level);
    double[] gains = new double[played.size()];
    boolean[] limited = new boolean[gains.length];
    double[] curve = new double[gains.length];
    for (int c = 0; c < level.length; c++) {
      for (int i : cells.get(keys.get(c))) {
        double max = settings.get(i).maxDb();
        double strength = settings.get(i).strength();
        double draw = clamp(target[c] - level[c], max);
        double own = played.get(i).levelLufs();
        double wanted = Double.isNaN(own) ? 0 : strength * (level[c] + draw - own);
        gains[i] = clamp(wanted, max);
        // A difference of half a decibel is not heard.
        double left = Double.isNaN(own) ? 0 : strength * (target[c] - own) - gains[i];
        limited[i] = Math.abs(left) > 0.5;
        curve[i] = played.get(i).midi() == null ? Double.NaN : target[c];
      }
    }
    double down = 0;
    for (int i = 0; i < gains.length; i++) {
      double highest = played.get(i).peakDbtp() + gains[i];
      down = Math.min(down, settings.get(i).ceilingDbtp() - highest);
    }
    List<NoteGain> all = new ArrayList<>();
    for (int i = 0; i < gains.length; i++) {
      all.add(new NoteGain(gains[i] + down, limited[i], curve[i] + down));
    }
    return all;
  }

  /** The middle loudness of a cell's round robins; NaN if none has one. */
  private static double loudness(List<Played> played, List<Integer> roundRobins) {
    double[] known =
        roundRobins.stream()
            .mapToDouble(i -> played.get(i).levelLufs())
            .filter(l -> !Double.isNaN(l))
            .toArray();
    return known.length == 0 ? Double.NaN : Bisquare.location(known);
  }

  /** The target of each cell; its own level if it has no note. */
  private static double[] targets(List<CellOf> keys, double[] level) {
    Map<String, List<Integer>> dynamics = new LinkedHashMap<>();
    for (int c = 0; c < level.length; c++) {
      if (keys.get(c).midi() != null && !Double.isNaN(level[c])) {
        dynamics.computeIfAbsent(keys.get(c).dynamic(), d -> new ArrayList<>()).add(c);
      }
    }
    double[] target = level.clone();
    if (!dynamics.isEmpty()) {
      double[] keyOf = new double[level.length];
      for (int c = 0; c < keyOf.length; c++) {
        keyOf[c] = keys.get(c).midi() == null ? Double.NaN : keys.get(c).midi();
      }
      KeyboardCurve.fit(keyOf, level, List.copyOf(dynamics.values())).into(target);
    }
    return target;
  }

  private static double clamp(double value, double max) {
    return Math.max(-max, Math.min(max, value));
  }
}
