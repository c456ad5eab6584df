package takewright.level;

import java.util.List;
import takewright.dsp.Medians;

/**
 * The loudness of an articulation along the keyboard: one shape that all its dynamics share, and
 * for each of them a distance from it. One shape has the notes of all dynamics to be fitted to;
 * curves of their own, fitted to a few notes each, would draw the dynamics nearer together or apart
 * by chance.
 */
final class KeyboardCurve {
  /**
   * Notes this far away have no say, in semitones: narrower, the curve would follow single notes;
   * an octave would take a register for a stray.
   */
  private static final double HALF_WIDTH = 9;

  /** Minimum number of points that count at each place: a line through fewer follows chance. */
  private static final int MIN_NOTES = 6;

  /** Shape and distances are fitted in turn; nothing moves after the third iteration. */
  private static final int TURNS = 4;

  /** A distance that grows along the keyboard is believed beyond this many standard errors. */
  private static final double SIGNIFICANT = 2.5;

  private final double[] key;
  private final double[] level;
  private final List<List<Integer>> dynamics;
  private final double[] base;
  private final double[] slope;
  private final double[] shape;
  private double middle;

  private KeyboardCurve(double[] key, double[] level, List<List<Integer>> dynamics) {
    this.key = key;
    this.level = level;
    this.dynamics = dynamics;
    this.base = new double[dynamics.size()];
    this.slope = new double[dynamics.size()];
    this.shape = new double[key.length];
  }

  /**
   * Fits the curve.
   *
   * @param key note of each cell
   * @param level loudness of each cell
   * @param dynamics the cells of each dynamic, at least one a dynamic
   */
  static KeyboardCurve fit(double[] key, double[] level, List<List<Integer>> dynamics) {
    KeyboardCurve curve = new KeyboardCurve(key, level, dynamics);
    curve.fit();
    return curve;
  }

  /** Writes the target of each fitted cell, in LUFS. */
  void into(double[] target) {
    for (int d = 0; d < base.length; d++) {
      for (int c : dynamics.get(d)) {
        target[c] = shape[c] + distance(d, key[c]);
      }
    }
  }

  private double distance(int d, double at) {
    return base[d] + slope[d] * (at - middle);
  }

  private void fit() {
    int n = dynamics.stream().mapToInt(List::size).sum();
    double[] x = new double[n];
    double[] y = new double[n];
    int at = 0;
    for (List<Integer> cells : dynamics) {
      for (int c : cells) {
        x[at++] = key[c];
      }
    }
    middle = Medians.of(x);
    // Neighbours are counted in notes, each of which occurs once per dynamic.
    int min = MIN_NOTES * dynamics.size();
    for (int turn = 0; turn < TURNS; turn++) {
      at = 0;
      for (int d = 0; d < base.length; d++) {
        for (int c : dynamics.get(d)) {
          y[at++] = level[c] - distance(d, key[c]);
        }
      }
      LocalRegression curve = LocalRegression.fit(x, y, HALF_WIDTH, min);
      for (int d = 0; d < base.length; d++) {
        for (int c : dynamics.get(d)) {
          shape[c] = curve.at(key[c]);
        }
        line(d);
      }
    }
    if (crossed()) {
      for (int d = 0; d < base.length; d++) {
        slope[d] = 0;
        base[d] = location(d);
      }
    }
  }

  /** The robust mean of what the shape leaves of a dynamic. */
  private double location(int d) {
    return Bisquare.location(left(d));
  }

  private double[] left(int d) {
    return dynamics.get(d).stream().mapToDouble(c -> level[c] - shape[c]).toArray();
  }

  /** The distance of a dynamic: the same everywhere, unless it plainly changes along the keys. */
  private void line(int d) {
    double[] y = left(d);
    double[] off = new double[y.length];
    double[] weights = new double[y.length];
    base[d] = location(d);
    slope[d] = 0;
    for (int i = 0; i < y.length; i++) {
      off[i] = y[i] - base[d];
    }
    Bisquare.weights(off, 7, weights);
    double w = 0;
    double wx = 0;
    double wxx = 0;
    double wxy = 0;
    for (int i = 0; i < y.length; i++) {
      double x = key[dynamics.get(d).get(i)] - middle;
      w += weights[i];
      wx += weights[i] * x;
      wxx += weights[i] * x * x;
      wxy += weights[i] * x * off[i];
    }
    double spread = wxx - wx * wx / Math.max(w, 1e-9);
    if (y.length < 4 || spread <= 0) {
      return;
    }
    double rise = wxy / spread;
    double square = 0;
    for (int i = 0; i < y.length; i++) {
      double x = key[dynamics.get(d).get(i)] - middle;
      double left = off[i] - rise * (x - wx / w);
      square += weights[i] * left * left;
    }
    double error = Math.sqrt(square / Math.max(1, w - 2) / spread);
    if (Math.abs(rise) > SIGNIFICANT * error) {
      slope[d] = rise;
      base[d] -= rise * wx / w;
    }
  }

  /** Whether two dynamics cross somewhere along the keyboard. */
  private boolean crossed() {
    for (int a = 0; a < base.length; a++) {
      for (int b = 0; b < a; b++) {
        double sign = Math.signum(location(a) - location(b));
        for (double k : key) {
          if (!Double.isNaN(k) && sign * (distance(a, k) - distance(b, k)) < 0) {
            return true;
          }
        }
      }
    }
    return false;
  }
}
