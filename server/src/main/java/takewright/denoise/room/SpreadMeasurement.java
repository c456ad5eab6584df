package takewright.denoise.room;

import java.util.List;
import takewright.denoise.band.BinSums;
import takewright.denoise.band.SoundDetector;
import takewright.denoise.band.SpreadFactors;
import takewright.denoise.band.ThirdOctaves;

/** Measures how much higher than Gaussian noise the averages of a room's own noise reach. */
final class SpreadMeasurement {
  /** Values that one factor is worked out from, about. */
  private static final int MAX_VALUES = 1 << 14;

  private final ThirdOctaves bands;
  private final int bins;

  SpreadMeasurement(ThirdOctaves bands, int bins) {
    this.bands = bands;
    this.bins = bins;
  }

  /**
   * The factors by which thresholds are raised.
   *
   * @param ratios power over expected noise power, frame by frame
   * @param stretchOf of which stretch each frame is; only frames of one follow each other
   */
  SpreadFactors measure(List<float[]> ratios, List<Integer> stretchOf) {
    float[][] factors = new float[SpreadFactors.KINDS][bands.count()];
    BinSums sums = new BinSums(bins, SoundDetector.WIDE);
    for (int kind = 0; kind < SpreadFactors.KINDS; kind++) {
      int reach = kind == SpreadFactors.SINGLE ? 0 : SoundDetector.frames(kind);
      float[][] values = new float[bands.count()][];
      int[] counts = new int[bands.count()];
      int usable = 0;
      for (int f = reach; f + reach < ratios.size(); f++) {
        usable += stretchOf.get(f - reach).equals(stretchOf.get(f + reach)) ? 1 : 0;
      }
      int[] every = new int[bands.count()];
      for (int b = 0; b < values.length; b++) {
        long all = (long) usable * bands.width(b);
        every[b] = (int) Math.max(1, (all + MAX_VALUES - 1) / MAX_VALUES);
        values[b] = new float[(int) (usable * (bands.width(b) / every[b] + 1L))];
      }
      float[] average = new float[bins];
      for (int f = reach; f + reach < ratios.size(); f++) {
        if (!stretchOf.get(f - reach).equals(stretchOf.get(f + reach))) {
          continue;
        }
        SoundDetector.average(kind, ratios, f, sums, average);
        for (int b = 0; b < values.length; b++) {
          for (int k = bands.from(b) + f % every[b]; k < bands.to(b); k += every[b]) {
            values[b][counts[b]++] = average[k];
          }
        }
      }
      for (int b = 0; b < values.length; b++) {
        double variance = SoundDetector.variance(kind);
        factors[kind][b] = SpreadFactors.factor(values[b], counts[b], variance);
      }
    }
    return SpreadFactors.of(factors);
  }
}
