package takewright.library.match;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
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
        dynamic[d] = rest.isEmpty() ? Double.NaN : median(rest);
      }
      for (int k = 0; k < note.length; k++) {
        List<Double> rest = new ArrayList<>();
        for (int i = 0; i < cellOf.length; i++) {
          if (cellOf[i] >= 0
              && !costs.isFalseStart(i)
              && Objects.equals(cells.get(cellOf[i]).midi(), notes.get(k))) {
            int d = dynamics.indexOf(cells.get(cellOf[i]).dynamic());
            rest.add(regions.get(i).levelDbfs() - dynamic[d]);
          }
        }
        note[k] = rest.isEmpty() ? 0 : median(rest);
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

  private static double median(List<Double> values) {
    return Medians.of(values.stream().mapToDouble(Double::doubleValue).toArray());
  }
}
