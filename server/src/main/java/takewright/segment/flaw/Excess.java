package takewright.segment.flaw;

import takewright.dsp.Selection;

/**
 * How far a level lies over what is before and behind it, at distances from a sixth of a second (a
 * knock) to more than a second (a sentence).
 */
public final class Excess {
  /** Columns of a note's attack, which has a noise of its own. */
  public static final int ATTACK = 4;

  /**
   * A note repeats from this number of periods on: a low string takes 0.1 to 0.2 s to come to its
   * pitch. In 66 takes of low notes 8 of 23 clean notes are still marked, and no fewer flawed ones.
   */
  private static final double SETTLES = 16;

  /** Columns at its end that nothing lies behind. */
  public static final int LAST = 2;

  /** Distances to what lies before and behind, in columns: 0.17, 0.5 and 1.3 s. */
  private static final int[] DISTANCES = {8, 24, 60};

  /** Columns that before and behind are a median of. */
  private static final int BESIDE = 6;

  /** An excess counts no further than this, in dB. */
  private static final float MOST_DB = 30;

  private final float[] work = new float[BESIDE];

  /**
   * The excess of each column, in dB, 0 or more. A single click shows in no more than one or two
   * columns, so that they are not smoothed.
   *
   * @param level of each column of a note, in dB
   */
  public float[] of(float[] level) {
    int n = level.length;
    float[] excess = new float[n];
    float[] beside = new float[n];
    for (int i = 0; i < n; i++) {
      beside[i] = median(level, i, Math.min(n, i + BESIDE));
    }
    for (int i = ATTACK; i < n - LAST; i++) {
      for (int distance : DISTANCES) {
        float before = i - distance > 2 ? beside[Math.max(2, i - distance - BESIDE)] : level[2];
        float behind = beside[Math.min(n - 1, i + distance)];
        float over = Math.min(MOST_DB, level[i] - Math.max(before, behind));
        excess[i] = Math.max(excess[i], over);
      }
    }
    return excess;
  }

  /**
   * The column from which on a note is itself: behind its attack, and come to its pitch.
   *
   * @param hertz its pitch
   * @param columnS length of a column, in seconds
   */
  public static int settled(double hertz, double columnS) {
    return Math.max(ATTACK, (int) Math.round(SETTLES / hertz / columnS));
  }

  private float median(float[] values, int from, int to) {
    System.arraycopy(values, from, work, 0, to - from);
    return Selection.find(work, to - from, (to - from) / 2);
  }
}
