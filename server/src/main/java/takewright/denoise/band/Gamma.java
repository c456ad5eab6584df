package takewright.denoise.band;

/** The gamma distribution: what sums of noise power follow. */
public final class Gamma {
  private Gamma() {}

  /**
   * The value that a gamma variable of the given shape and scale 1 passes with a probability.
   *
   * @param probability above 0, below 0.5
   * @param shape above 0
   */
  public static double quantileAbove(double probability, double shape) {
    double low = 0;
    double high = shape + 50 * Math.sqrt(shape) + 100;
    for (int i = 0; i < 100; i++) {
      double middle = (low + high) / 2;
      if (above(middle, shape) > probability) {
        low = middle;
      } else {
        high = middle;
      }
    }
    return (low + high) / 2;
  }

  /**
   * The probability of a value above x: the upper incomplete gamma function Q(shape, x), by its
   * series and its continued fraction (M. Abramowitz and I. Stegun, Handbook of Mathematical
   * Functions, 1964, 6.5.29 and 6.5.31).
   */
  static double above(double x, double shape) {
    if (x <= 0) {
      return 1;
    }
    double front = Math.exp(shape * Math.log(x) - x - logGamma(shape));
    if (x < shape + 1) {
      double term = 1 / shape;
      double sum = term;
      for (int n = 1; n < 10_000 && term > sum * 1e-16; n++) {
        term *= x / (shape + n);
        sum += term;
      }
      return 1 - front * sum;
    }
    // From the far end of the fraction inwards; 500 terms are more than any x used here needs.
    double fraction = 0;
    for (int n = 500; n >= 1; n--) {
      fraction = n * (n - shape) / (x + 2 * n + 1 - shape - fraction);
    }
    return front / (x + 1 - shape - fraction);
  }

  /** The logarithm of the gamma function: Stirling's series (6.1.41) from 10 upwards. */
  static double logGamma(double x) {
    double shift = 0;
    while (x < 10) {
      shift -= Math.log(x);
      x++;
    }
    double inverse = 1 / x;
    double square = inverse * inverse;
    double series = inverse * (1.0 / 12 - square * (1.0 / 360 - square * (1.0 / 1260)));
    return shift + (x - 0.5) * Math.log(x) - x + 0.5 * Math.log(2 * Math.PI) + series;
  }
}
