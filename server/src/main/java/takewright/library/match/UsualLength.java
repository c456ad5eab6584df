package takewright.library.match;

import java.util.List;
import java.util.function.IntPredicate;
import java.util.stream.IntStream;
import takewright.dsp.Medians;
import takewright.segment.Region;

/** How long the notes around some attempts are. */
final class UsualLength {
  /** Notes before and behind by which it is told how long an attempt should be. */
  private static final int AROUND = 3;

  private UsualLength() {}

  /**
   * For how many frames the notes around some attempts are heard: their median, or infinity where
   * there are too few.
   *
   * @param attempts their indices, in order
   * @param cellOf cell of each region
   * @param kept region of each cell, or -1
   */
  static double around(List<Integer> attempts, List<Region> regions, int[] cellOf, int[] kept) {
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
}
