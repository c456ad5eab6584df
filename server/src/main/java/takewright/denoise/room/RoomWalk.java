package takewright.denoise.room;

import java.util.Arrays;
import takewright.dsp.Selection;

/**
 * Levels of a room at knots, and how it moves between them: a random walk of each band, and leaps
 * of all bands together.
 *
 * @param at where each knot lies, in frames, ascending
 * @param level by knot and band, in dB
 * @param noise variance of each of those, in dB²
 * @param drift variance that the walk gains a frame, by band, in dB²
 * @param leap how far all bands together leap between a knot and the next, in dB; mostly 0
 */
record RoomWalk(long[] at, float[][] level, float[][] noise, float[] drift, float[] leap) {
  private static final double MIDDLE_HALF = 0.559;

  /** Half of the bands step by more than this many dB and usual deviations where the room leaps. */
  private static final double LEAST_LEAP_DB = 1.5;

  private static final double LEAP = 2;

  /** Finds the walk and the leaps of the knots. */
  static RoomWalk of(long[] at, float[][] level, float[][] noise) {
    float[] drift = drift(at, level, noise);
    return new RoomWalk(at, level, noise, drift, leaps(at, level, noise, drift));
  }

  /** Variance in dB² that a band gains from a knot to the next. */
  double step(int knot, int band) {
    return drift[band] * (at[knot + 1] - at[knot]) + leap[knot] * leap[knot];
  }

  private static float[] drift(long[] at, float[][] level, float[][] noise) {
    float[] drift = new float[level[0].length];
    float[] steps = new float[Math.max(1, at.length - 1)];
    for (int b = 0; b < drift.length; b++) {
      for (int i = 0; i + 1 < at.length; i++) {
        double step = level[i + 1][b] - level[i][b];
        double square = step * step - noise[i][b] - noise[i + 1][b];
        steps[i] = (float) (square / (at[i + 1] - at[i]));
      }
      // Of squares of normal values the middle half, which a few leaps do not move: their mean is
      // 0.559 of the variance (chi squared of one degree, between its quartiles).
      Arrays.sort(steps);
      double sum = 0;
      int from = steps.length / 4;
      int to = Math.max(from + 1, 3 * steps.length / 4);
      for (int i = from; i < to; i++) {
        sum += steps[i];
      }
      drift[b] = (float) Math.max(0, sum / (to - from) / MIDDLE_HALF);
    }
    return drift;
  }

  private static float[] leaps(long[] at, float[][] level, float[][] noise, float[] drift) {
    float[] leaps = new float[at.length];
    RoomWalk walk = new RoomWalk(at, level, noise, drift, leaps);
    for (int i = 0; i + 1 < at.length; i++) {
      leaps[i] = walk.leapBetween(i, i + 1);
    }
    return leaps;
  }

  /**
   * How far all bands together leap from one knot to another, in dB; 0 if no further than the walk
   * goes. A leap of all bands together, as when a fan is switched off, is no part of the walk.
   */
  float leapBetween(int from, int to) {
    float[] steps = new float[drift.length];
    float[] usual = new float[drift.length];
    for (int b = 0; b < steps.length; b++) {
      steps[b] = level[to][b] - level[from][b];
      usual[b] = drift[b] * (at[to] - at[from]) + noise[from][b] + noise[to][b];
    }
    // Medians: what a low string leaves in two or three bands says nothing of all.
    double common = Selection.median(steps, steps.length);
    double deviation = Math.sqrt(Selection.median(usual, usual.length));
    boolean isLeap = Math.abs(common) > LEAST_LEAP_DB + LEAP * deviation;
    return isLeap ? (float) common : 0;
  }
}
