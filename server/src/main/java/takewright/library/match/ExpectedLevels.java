package takewright.library.match;

import java.util.ArrayList;
import java.util.Collections;
import java.util.HashSet;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import takewright.dsp.Medians;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;

/**
 * How loud each cell was played: the level of its note plus that of its dynamic, by Tukey's median
 * polish (Exploratory Data Analysis, 1977).
 */
final class ExpectedLevels {
  /** Rounds of the polish; the medians hardly change after a few. */
  private static final int ROUNDS = 6;

  /** Levels of one note at one dynamic lie no further apart: half of what two dynamics do. */
  private static final double MAX_APART_DB = 5;

  private ExpectedLevels() {}

  /**
   * The level to be expected of each cell, in dBFS; null where there is only one dynamic.
   *
   * @param cellOf cell of each region on a first path
   */
  static double[] of(List<Region> regions, List<Cell> cells, int[] cellOf, AlignmentCosts costs) {
    List<Object> notes = cells.stream().map(c -> (Object) c.midi()).distinct().toList();
    List<String> dynamics = cells.stream().map(Cell::dynamic).distinct().toList();
    if (dynamics.size() < 2) {
      return null;
    }
    double[] note = new double[notes.size()];
    double[] dynamic = new double[dynamics.size()];
    boolean[] isSure = new boolean[notes.size()];
    for (int round = 0; round < ROUNDS; round++) {
      for (int d = 0; d < dynamic.length; d++) {
        List<Double> rest = new ArrayList<>();
        for (int i = 0; i < cellOf.length; i++) {
          if (cellOf[i] >= 0
              && !costs.isFalseStart(i)
              && cells.get(cellOf[i]).dynamic().equals(dynamics.get(d))) {
            int k = notes.indexOf(cells.get(cellOf[i]).midi());
            rest.add(regions.get(i).levelDbfs() - note[k]);
          }
        }
        dynamic[d] = rest.isEmpty() ? Double.NaN : Medians.of(rest);
      }
      for (int k = 0; k < note.length; k++) {
        List<Double> rest = new ArrayList<>();
        Set<Integer> heard = new HashSet<>();
        for (int i = 0; i < cellOf.length; i++) {
          if (cellOf[i] >= 0
              && !costs.isFalseStart(i)
              && Objects.equals(cells.get(cellOf[i]).midi(), notes.get(k))) {
            int d = dynamics.indexOf(cells.get(cellOf[i]).dynamic());
            heard.add(d);
            rest.add(regions.get(i).levelDbfs() - dynamic[d]);
          }
        }
        isSure[k] = heard.size() > 1 && !contradict(rest);
        double beside = neighbours(note, isSure, k);
        if (!isSure[k] && !rest.isEmpty() && !Double.isNaN(beside)) {
          rest.add(beside);
        }
        note[k] = rest.isEmpty() ? 0 : Medians.of(rest);
      }
    }
    double[] expected = new double[cells.size()];
    for (int c = 0; c < expected.length; c++) {
      expected[c] =
          note[notes.indexOf(cells.get(c).midi())]
              + dynamic[dynamics.indexOf(cells.get(c).dynamic())];
    }
    return expected;
  }

  /**
   * Whether one half of a note's levels, each less what its dynamic adds, lies too far from the
   * other for one note: then a half has the wrong dynamic, and the notes beside it tell which.
   */
  private static boolean contradict(List<Double> levels) {
    Collections.sort(levels);
    int half = levels.size() / 2;
    return half > 0
        && levels.size() % 2 == 0
        && levels.get(half) - levels.get(half - 1) > MAX_APART_DB;
  }

  /**
   * The mean of the notes beside one, as far as they are sure; NaN where none is. Of a note that
   * was played at one dynamic alone its own levels cannot tell which.
   */
  private static double neighbours(double[] note, boolean[] isSure, int k) {
    double sum = 0;
    int count = 0;
    for (int beside = k - 1; beside <= k + 1; beside += 2) {
      if (beside >= 0 && beside < note.length && isSure[beside]) {
        sum += note[beside];
        count++;
      }
    }
    return count == 0 ? Double.NaN : sum / count;
  }
}
