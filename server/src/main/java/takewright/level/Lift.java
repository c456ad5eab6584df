package takewright.level;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import takewright.dsp.Medians;

/**
 * How far what was recorded on another day lies below a library, by the microphone's gain and
 * distance, and not by how the notes were played.
 */
public final class Lift {
  private static final double NO_PEAK_DBTP = -200;

  private Lift() {}

  /**
   * What to add to all levels of a pick-up, in dB: the median distance of its notes from the curve
   * of the library, at their note and dynamic. 0 where there is nothing to compare.
   *
   * @param library what the library holds without it
   * @param added the pick-up
   */
  public static double db(List<Played> library, List<Played> added) {
    List<NoteGain> curve =
        Level.apply(library.stream().map(Lift::withoutPeak).toList(), LevelSettings.DEFAULTS);
    List<Double> distances = new ArrayList<>();
    for (Played one : added) {
      double there = expected(library, curve, one);
      if (!Double.isNaN(there) && !Double.isNaN(one.levelLufs())) {
        distances.add(there - one.levelLufs());
      }
    }
    double[] all = distances.stream().mapToDouble(d -> d).toArray();
    return all.length == 0 ? 0 : Medians.of(all);
  }

  /** As if there were room for every peak: what the library is lowered by comes later. */
  private static Played withoutPeak(Played played) {
    return new Played(played.midi(), played.dynamic(), played.levelLufs(), NO_PEAK_DBTP);
  }

  /** The library's level at a note and dynamic; NaN if it has none there. */
  private static double expected(List<Played> library, List<NoteGain> curve, Played one) {
    TreeMap<Integer, Double> byNote = new TreeMap<>();
    List<Double> unpitched = new ArrayList<>();
    for (int i = 0; i < library.size(); i++) {
      Played other = library.get(i);
      if (!other.dynamic().equals(one.dynamic())) {
        continue;
      }
      if (other.midi() != null && !Double.isNaN(curve.get(i).curveLufs())) {
        byNote.put(other.midi(), curve.get(i).curveLufs());
      } else if (!Double.isNaN(other.levelLufs())) {
        unpitched.add(other.levelLufs());
      }
    }
    if (one.midi() == null || byNote.isEmpty()) {
      double[] all = unpitched.stream().mapToDouble(d -> d).toArray();
      return Medians.of(all);
    }
    Map.Entry<Integer, Double> below = byNote.floorEntry(one.midi());
    Map.Entry<Integer, Double> above = byNote.ceilingEntry(one.midi());
    if (below == null || above == null) {
      return (below == null ? above : below).getValue();
    }
    double width = above.getKey() - below.getKey();
    double part = width == 0 ? 0 : (one.midi() - below.getKey()) / width;
    return below.getValue() + part * (above.getValue() - below.getValue());
  }
}
