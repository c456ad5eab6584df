package takewright.library.match;

import java.util.List;
import java.util.stream.IntStream;
import takewright.dsp.Cents;
import takewright.dsp.Medians;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;

/**
 * How well in tune the notes of a take are.
 *
 * @param usual how far they are from their notes, in cents
 * @param limit further than this from that, in cents, one is out of tune beside them
 */
record UsualTuning(double usual, double limit) {
  /** The median absolute deviation of normal values is this share of their spread. */
  private static final double MAD_SHARE = 0.6745;

  /** Least spread of a player's tuning, in cents. Common practice. */
  private static final double MIN_SPREAD_CENTS = 12;

  /** Spreads up to which a note is in tune as the others are. */
  private static final double SPREADS = 3;

  /** What is usual in a take.
   *
   * @param kept region of each cell, or -1
   */
  static UsualTuning of(List<Region> regions, List<Cell> cells, int[] kept) {
    double[] cents =
        IntStream.range(0, kept.length)
            .filter(c -> kept[c] >= 0 && cells.get(c).midi() != null)
            .filter(c -> isHeard(regions.get(kept[c])))
            .mapToDouble(
                c ->
                    Cents.withinOctave(
                        100 * (Attempts.semitones(regions.get(kept[c])) - cells.get(c).midi())))
            .toArray();
    if (cents.length == 0) {
      return new UsualTuning(0, Double.POSITIVE_INFINITY);
    }
    double usual = Medians.of(cents);
    double[] off = new double[cents.length];
    for (int i = 0; i < off.length; i++) {
      off[i] = Math.abs(cents[i] - usual);
    }
    double spread = Math.max(MIN_SPREAD_CENTS, Medians.of(off) / MAD_SHARE);
    return new UsualTuning(usual, SPREADS * spread);
  }

  private static boolean isHeard(Region region) {
    return !region.rejected() && region.pitch() != null;
  }
}
