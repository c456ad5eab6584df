package takewright.segment.flaw;

import takewright.dsp.Selection;

/**
 * How the partials of a note go on where something rises between them: whether they hold, which
 * speaks for a sound laid over the note, or sink, as at a change of bow or where it is let go.
 */
public final class PartialsCourse {
  /** Columns that the partials' level is a mean of: about half a cycle of vibrato either way. */
  private static final int SMOOTH = 5;

  /** Columns on either side that it is compared with (0.64 s). */
  private static final int AROUND = 30;

  /** Columns on either side in which partials that sink speak for a change of bow. */
  private static final int NEAR = 3;

  /**
   * Partials that sink by this, in dB, beyond what they do all along, make what rises the note's
   * own; those that sink by {@link #HOLDS_DB} or less leave it foreign. Bow changes of violins came
   * to 1.5 to 7 dB, scratches, knocks and voices over a note to 0 to 1.2.
   */
  private static final double SINKS_DB = 2.2;

  private static final double HOLDS_DB = 1;

  /**
   * Partials that lie lower behind a column than before it by this, in dB, beyond what they fall
   * all along, have been let go; those that fall by {@link #STAYS_DB} or less have not. The end of
   * a note has a noise of its own: a key, a tongue, a finger on the string.
   */
  private static final double FALLS_DB = 6;

  private static final double STAYS_DB = 3;

  private PartialsCourse() {}

  /** How far the partials hold where something rises, 0 (they sink) to 1, by column. */
  public static float[] holding(double[] sums, int n) {
    float[] sinks = new float[n];
    for (int i = 0; i < n; i++) {
      sinks[i] = Float.POSITIVE_INFINITY;
      for (int k = Math.max(0, i - NEAR); k <= Math.min(n - 1, i + NEAR); k++) {
        double course = mean(sums, k, SMOOTH / 2) - mean(sums, k, AROUND);
        sinks[i] = (float) Math.min(sinks[i], course);
      }
      sinks[i] = -sinks[i];
    }
    return below(sinks, HOLDS_DB, SINKS_DB);
  }

  /** How far the note goes on behind each column, 0 (it has been let go) to 1. */
  public static float[] goingOn(double[] sums, int n) {
    float[] falls = new float[n];
    for (int i = 0; i < n; i++) {
      double before = meanOf(sums, i - NEAR - SMOOTH, i - NEAR);
      falls[i] = (float) (before - meanOf(sums, i + NEAR, i + NEAR + SMOOTH));
    }
    return below(falls, STAYS_DB, FALLS_DB);
  }

  /** 1 where values lie no further over their median than {@code least}, 0 from {@code most} on. */
  private static float[] below(float[] values, double least, double most) {
    float usual = Selection.find(values.clone(), values.length, (values.length - 1) / 2);
    float[] share = new float[values.length];
    for (int i = 0; i < share.length; i++) {
      double over = values[i] - usual;
      share[i] = (float) Math.max(0, Math.min(1, (most - over) / (most - least)));
    }
    return share;
  }

  private static double mean(double[] sums, int column, int reach) {
    return meanOf(sums, column - reach, column + reach + 1);
  }

  /** Mean from one column to (not including) another, as far as they are there. */
  private static double meanOf(double[] sums, int from, int to) {
    int last = sums.length - 1;
    int first = Math.max(0, Math.min(last - 1, from));
    int end = Math.max(first + 1, Math.min(last, to));
    return (sums[end] - sums[first]) / (end - first);
  }
}
