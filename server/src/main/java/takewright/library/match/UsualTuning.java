package takewright.library.match;

import java.util.List;
import java.util.stream.IntStream;
import takewright.dsp.Cents;
import takewright.dsp.Medians;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;

/**
 * How well in tune the notes of a take are: a short note that was begun on the wrong one and goes
 * over into its own has a pitch between the two.
 *
 * @param usual how far they are from their notes, in cents
 * @param spread of that, in cents
 */
record UsualTuning(double usual, double spread) {
  /** The median absolute deviation of normal values is this share of their spread. */
  private static final double MAD_SHARE = 0.6745;

  /** Least spread of a player's tuning, in cents. Common practice. */
  private static final double MIN_SPREAD_CENTS = 12;

  /**
   * A note within this many spreads is in tune: one in 370 normal values lies outside by chance.
   */
  private static final double SPREADS = 3;

  /**
   * What is usual in a take.
   *
   * @param kept region of each cell, or -1
   */
  static UsualTuning of(List<Region> regions, List<Cell> cells, int[] kept) {
    double[] cents =
        IntStream.range(0, kept.length)
            .filter(c -> kept[c] >= 0 && tells(regions.get(kept[c]), cells.get(c)))
            .mapToDouble(c -> cents(regions.get(kept[c]), cells.get(c)))
            .toArray();
    if (cents.length == 0) {
      return new UsualTuning(0, Double.POSITIVE_INFINITY);
    }
    double usual = Medians.of(cents.clone());
    double[] off = new double[cents.length];
    for (int i = 0; i < off.length; i++) {
      off[i] = Math.abs(cents[i] - usual);
    }
    double spread = Math.max(MIN_SPREAD_CENTS, Medians.of(off) / MAD_SHARE);
    return new UsualTuning(usual, spread);
  }

  /** Whether a region's pitch and its cell's note can be compared. */
  private static boolean tells(Region region, Cell cell) {
    return !region.rejected() && region.pitch() != null && cell.midi() != null;
  }

  /** How far a region is from its cell's note beyond what is usual, in cents; NaN if unknown. */
  double off(Region region, Cell cell) {
    return tells(region, cell)
        ? Math.abs(Cents.withinOctave(cents(region, cell) - usual))
        : Double.NaN;
  }

  /** Whether one attempt is out of tune and another is not, by more than by chance. */
  boolean isOutBeside(double off, double other) {
    return off > SPREADS * spread && other < Math.min(SPREADS, off / spread - 1) * spread;
  }

  /** How far a region is from its cell's note, in whatever octave, in cents. */
  private static double cents(Region region, Cell cell) {
    return Cents.withinOctave(100 * (Attempts.semitones(region) - cell.midi()));
  }
}
