package takewright.level;

import java.util.Arrays;
import java.util.HashMap;
import java.util.Map;

/**
 * A smooth curve through scattered points that outliers do not bend: straight lines fitted to the
 * neighbourhood of each place with tricube weights, made robust by bisquare weights on what they
 * leave (W. S. Cleveland, "Robust locally weighted regression and smoothing scatterplots", JASA
 * 74(368), 1979).
 */
final class LocalRegression {
  /** Cleveland's number of iterations; more change almost nothing. */
  private static final int ROBUST_STEPS = 3;

  /** Residuals of six times their median have no say, by Cleveland. */
  private static final double REACH = 6;

  private final double[] x;
  private final double[] y;
  private final double[] robust;
  private final double halfWidth;
  private final int min;

  private LocalRegression(double[] x, double[] y, double halfWidth, int min) {
    this.x = x;
    this.y = y;
    this.halfWidth = halfWidth;
    this.min = min;
    this.robust = new double[x.length];
    Arrays.fill(robust, 1);
  }

  /**
   * Fits a curve.
   *
   * @param x places, in any order, at least one
   * @param y values, as many
   * @param halfWidth points this far from a place have no say there
   * @param min but at least this many points are within reach of each place, if there are as many
   */
  static LocalRegression fit(double[] x, double[] y, double halfWidth, int min) {
    LocalRegression curve = new LocalRegression(x, y, halfWidth, min);
    double[] off = new double[x.length];
    for (int step = 0; step < ROBUST_STEPS; step++) {
      // Many points have the same place.
      Map<Double, Double> known = new HashMap<>();
      for (int i = 0; i < off.length; i++) {
        off[i] = y[i] - known.computeIfAbsent(x[i], curve::at);
      }
      Bisquare.weights(off, REACH, curve.robust);
    }
    return curve;
  }

  /** The curve at a place. */
  double at(double place) {
    double[] away = new double[x.length];
    for (int i = 0; i < away.length; i++) {
      away[i] = Math.abs(x[i] - place);
    }
    double[] sorted = away.clone();
    Arrays.sort(sorted);
    // A little wider, so that the last point that is to count has one.
    double reach = Math.max(halfWidth, 1.05 * sorted[Math.min(min, sorted.length) - 1]);
    double w = 0;
    double wx = 0;
    double wy = 0;
    double wxx = 0;
    double wxy = 0;
    for (int i = 0; i < x.length; i++) {
      double share = away[i] / reach;
      if (share < 1) {
        double tricube = 1 - share * share * share;
        double weight = robust[i] * tricube * tricube * tricube;
        double dx = x[i] - place;
        w += weight;
        wx += weight * dx;
        wy += weight * y[i];
        wxx += weight * dx * dx;
        wxy += weight * dx * y[i];
      }
    }
    if (w <= 0) {
      return Bisquare.location(y);
    }
    double spread = wxx - wx * wx / w;
    double slope = spread > 1e-9 * w ? (wxy - wx * wy / w) / spread : 0;
    return (wy - slope * wx) / w;
  }
}
