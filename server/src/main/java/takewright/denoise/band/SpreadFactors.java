package takewright.denoise.band;

import java.util.Arrays;
import takewright.dsp.Selection;

/**
 * How much higher than Gaussian noise a room's own noise reaches, by kind of average and by band.
 *
 * <p>A threshold that Gaussian noise passes once in many million frames is passed all the time by a
 * room whose level moves from moment to moment, or in which something rattles. So each threshold is
 * raised by what the room tone of the take itself shows, as detectors of constant false-alarm rate
 * do: an average is taken for gamma distributed, with the variance that explains how high the room
 * reaches, and the threshold is where that distribution has the false-alarm rate that is wanted.
 * Quantiles of the gamma distribution are those of E. Wilson and M. Hilferty, "The distribution of
 * chi-square", PNAS 17, 1931.
 */
public final class SpreadFactors {
  /** Kinds of averages: those of {@link SoundDetector}, and single bins. */
  public static final int KINDS = 4;

  public static final int SINGLE = 3;

  /** The usual quantile that is looked at, and how deep in the tail the thresholds lie. */
  private static final double USUAL = 1e-3;

  private static final double DEEP = 1e-8;

  /** Of the highest of n values only this share would lie lower by chance. */
  private static final double CHANCE = 0.1;

  /** A standard deviation that is not larger than by this factor is that of Gaussian noise. */
  private static final double ALIKE = 1.1;

  /** No factor is larger: beyond, what sounds is not the room. */
  private static final double MAX = 30;

  private final float[][] factors;

  private SpreadFactors(float[][] factors) {
    this.factors = factors;
  }

  /** Those of Gaussian noise. */
  public static SpreadFactors none(int bands) {
    float[][] factors = new float[KINDS][bands];
    for (float[] f : factors) {
      Arrays.fill(f, 1);
    }
    return new SpreadFactors(factors);
  }

  public static SpreadFactors of(float[][] factors) {
    return new SpreadFactors(factors);
  }

  public float of(int kind, int band) {
    return factors[kind][band];
  }

  /** The largest of all kinds in a band. */
  public float largest(int band) {
    float max = 1;
    for (float[] f : factors) {
      max = Math.max(max, f[band]);
    }
    return max;
  }

  /**
   * The factor for one kind of average in one band.
   *
   * @param values averages of room tone over their expectation, in any order, which is changed
   * @param count how many of them
   * @param variance what Gaussian noise has
   */
  public static float factor(float[] values, int count, double variance) {
    double independent = count * variance;
    if (independent < 20) {
      return 1;
    }
    double nominal = Math.sqrt(variance);
    double share = Math.max(USUAL, 1 / independent);
    double usual = Selection.find(values, count, (int) Math.min(count - 1, (1 - share) * count));
    float highest = 0;
    for (int i = 0; i < count; i++) {
      highest = Math.max(highest, values[i]);
    }
    double deviation = Math.max(nominal, deviation(usual, share));
    deviation = Math.max(deviation, deviation(highest, CHANCE / independent));
    if (deviation < ALIKE * nominal) {
      return 1;
    }
    double factor = quantile(deviation, DEEP) / quantile(nominal, DEEP);
    return (float) Math.max(1, Math.min(MAX, factor));
  }

  /** What a value of mean 1 and this standard deviation passes with a probability. */
  private static double quantile(double deviation, double probability) {
    double root = 1 - deviation * deviation / 9 + normal(probability) * deviation / 3;
    return root * root * root;
  }

  /** The standard deviation that makes a quantile. */
  private static double deviation(double quantile, double probability) {
    double z = normal(probability);
    double rest = z * z / 9 - 4 * (Math.cbrt(quantile) - 1) / 9;
    return rest <= 0 ? 1.5 * z : 4.5 * (z / 3 - Math.sqrt(rest));
  }

  /**
   * What a standard normal value passes with a probability (M. Abramowitz and I. Stegun, Handbook
   * of Mathematical Functions, 1964, 26.2.23).
   */
  private static double normal(double probability) {
    double t = Math.sqrt(-2 * Math.log(probability));
    return t
        - (2.515517 + t * (0.802853 + t * 0.010328))
            / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  }
}
