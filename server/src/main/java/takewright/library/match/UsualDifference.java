package takewright.library.match;

import java.util.ArrayList;
import java.util.List;
import java.util.function.IntPredicate;
import java.util.stream.IntStream;
import takewright.diagnosis.Flag;
import takewright.dsp.Medians;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;

/**
 * By how much the attempts at one note differ in a take that have nothing wrong with them: its
 * round robins show it. Bars and strings that ring differ by more than reeds and bows. And how long
 * the notes around them are.
 */
final class UsualDifference {
  /** In any take one of two attempts may have so much more than the other, in dB. */
  private static final double LEAST_DB = 5;

  /** More than so much, in dB, is too much in a take that is as restless as any. */
  private static final double MOST_DB = 10;

  /** What is usual: this share of the pairs differ by less. */
  private static final double SHARE = 0.8;

  /** The limit is this many times the usual difference, since pairs also differ by chance. */
  private static final double TIMES = 1.5;

  /** Fewer pairs show nothing. */
  private static final int MIN_PAIRS = 3;

  /** Notes before and behind by which it is told how long an attempt should be. */
  private static final int AROUND = 3;

  private UsualDifference() {}

  /**
   * From so much more on, in dB, one of two attempts has something the matter with it.
   *
   * @param kept region of each cell, or -1
   */
  static double limitDb(List<Region> regions, List<Cell> cells, int[] kept) {
    List<Double> differences = new ArrayList<>();
    for (int c = 1; c < kept.length; c++) {
      for (int d = c - 1; d >= 0 && isAlike(cells.get(c), cells.get(d)); d--) {
        if (isSample(regions, kept[c]) && isSample(regions, kept[d])) {
          Blemishes one = regions.get(kept[c]).blemishes();
          Blemishes other = regions.get(kept[d]).blemishes();
          differences.add(Math.max(one.moreDb(other), other.moreDb(one)));
        }
      }
    }
    if (differences.size() < MIN_PAIRS) {
      return MOST_DB;
    }
    double[] sorted = differences.stream().mapToDouble(Double::doubleValue).sorted().toArray();
    double usual = TIMES * sorted[(int) (SHARE * (sorted.length - 1))];
    return Math.max(LEAST_DB, Math.min(MOST_DB, usual));
  }

  /**
   * For how many frames the notes around some attempts are heard: their median, or infinity where
   * there are too few.
   *
   * @param attempts their indices, in order
   * @param cellOf cell of each region
   * @param kept region of each cell, or -1
   */
  static double lengthAround(
      List<Integer> attempts, List<Region> regions, int[] cellOf, int[] kept) {
    int first = attempts.get(0);
    int last = attempts.get(attempts.size() - 1);
    IntPredicate isSample =
        i -> cellOf[i] != Matching.NO_CELL && kept[cellOf[i]] == i && !regions.get(i).rejected();
    double[] around =
        IntStream.concat(
                IntStream.iterate(first - 1, i -> i >= 0, i -> i - 1)
                    .filter(isSample)
                    .limit(AROUND),
                IntStream.range(last + 1, regions.size()).filter(isSample).limit(AROUND))
            .mapToDouble(i -> regions.get(i).heardFrames())
            .toArray();
    return around.length < AROUND ? Double.POSITIVE_INFINITY : Medians.of(around);
  }

  /** Whether two cells are round robins of one note; taps are no notes. */
  static boolean isAlike(Cell a, Cell b) {
    return a.midi() != null && a.isSameNoteAs(b);
  }

  private static boolean isSample(List<Region> regions, int kept) {
    return kept >= 0
        && !regions.get(kept).rejected()
        && !regions.get(kept).flags().contains(Flag.IN_TAIL);
  }
}
