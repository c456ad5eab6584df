package takewright.denoise.room;

import takewright.denoise.band.StftSize;
import takewright.dsp.Decibels;

/**
 * The level of noise in a band, read from what lies between the partials of whatever sounds there.
 *
 * <p>Let R be a bin's power over the noise that is expected. The mean of 1 / (1 + 2 R) hardly hears
 * bins that stand far above the noise, whatever their height, and for Gaussian noise it says how
 * loud the noise is: with R exponential of mean m it is x e^x E1(x) with x = 1 / (2 m), E1 the
 * exponential integral.
 */
final class NoiseLevel {
  /** How much louder a bin counts when it is weighed against noise. */
  private static final float SLOPE = 2;

  /**
   * Variance of the level in dB² that Gaussian noise gives over one bin and frame, with neighbours
   * that overlap as those of {@link StftSize} do: simulated, over 2 minutes of white noise.
   */
  static final double VARIANCE_OF_BIN = 66;

  private static final double RANGE_DB = 24;
  private static final int STEPS = 480;

  /** The mean for levels from -RANGE_DB to RANGE_DB; it falls as they rise. */
  private static final float[] MEANS = new float[STEPS + 1];

  static {
    for (int i = 0; i <= STEPS; i++) {
      double level = Decibels.toPower((2.0 * i / STEPS - 1) * RANGE_DB);
      // The integral of e^-u / (1 + 2 m u), with u = -ln(1 - v), by the midpoint rule in v.
      double sum = 0;
      int points = 2000;
      for (int j = 0; j < points; j++) {
        double u = -Math.log((j + 0.5) / points);
        sum += 1 / (1 + SLOPE * level * u);
      }
      MEANS[i] = (float) (sum / points);
    }
  }

  private NoiseLevel() {}

  /** 1 / (1 + 2 R) of each bin. */
  static void weigh(float[] ratios, float[] out) {
    for (int k = 0; k < out.length; k++) {
      out[k] = 1 / (1 + SLOPE * ratios[k]);
    }
  }

  /** The level of noise, in dB over what is expected, that such a mean tells of. */
  static double db(double mean) {
    int low = 0;
    int high = STEPS;
    while (high - low > 1) {
      int middle = (low + high) / 2;
      if (MEANS[middle] > mean) {
        low = middle;
      } else {
        high = middle;
      }
    }
    double share = (MEANS[low] - mean) / (MEANS[low] - MEANS[high]);
    return (2 * (low + Math.max(0, Math.min(1, share))) / STEPS - 1) * RANGE_DB;
  }
}
