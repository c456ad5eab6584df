package takewright.denoise.room;

import java.util.Arrays;
import takewright.dsp.Selection;

/**
 * How the level of a room moves over a take, band by band, and how well that is known.
 *
 * <p>The level is heard only where nobody plays. Each pause gives knots; between them the level is
 * taken for a random walk, whose steps are as large as the pauses of the take show, and the knots
 * are smoothed accordingly (H. Rauch, F. Tung and C. Striebel, "Maximum likelihood estimates of
 * linear dynamic systems", AIAA Journal 3, 1965). Away from the knots the level is interpolated,
 * and its variance grows with the distance, as that of a walk between two known points does.
 *
 * <p>Levels are in dB over the room's mean; frames count from where the track begins.
 */
public final class RoomTrack {
  /** Before the first and after the last pause nothing is known that is further away; in frames. */
  private static final double LONGEST_REACH_S = 20;

  private final int sampleRate;
  private final long offset;
  private final long[] at;

  /** By knot and band. */
  private final float[][] level;

  private final float[][] variance;

  /** Variance that the walk gains a frame between a knot and the next, by knot and band; dB². */
  private final float[][] drift;

  /** How far all bands together leap between a knot and the next, in dB; mostly 0. */
  private final float[] leaps;

  /** Standard deviation of the level around the walk, from moment to moment, by band; dB. */
  private final float[] spread;

  private RoomTrack(
      int sampleRate,
      long offset,
      long[] at,
      float[][] level,
      float[][] variance,
      float[][] drift,
      float[] leaps,
      float[] spread) {
    this.sampleRate = sampleRate;
    this.offset = offset;
    this.at = at;
    this.level = level;
    this.variance = variance;
    this.drift = drift;
    this.leaps = leaps;
    this.spread = spread;
  }

  /** A track of a room whose level does not move but for a spread around it, in dB. */
  static RoomTrack steady(int sampleRate, float[] spread) {
    int bands = spread.length;
    return new RoomTrack(
        sampleRate,
        0,
        new long[1],
        new float[1][bands],
        new float[1][bands],
        new float[1][bands],
        new float[1],
        spread);
  }

  /**
   * A track through knots.
   *
   * @param at where each lies, in frames, ascending
   * @param level by knot and band, in dB; the means are taken away
   * @param noise variance of each of those, in dB²
   * @param spread of the room around the knots, by band, in dB
   */
  public static RoomTrack through(
      int sampleRate, long[] at, float[][] level, float[][] noise, float[] spread) {
    int knots = at.length;
    int bands = spread.length;
    float[][] drift = new float[knots][];
    float[] leap = new float[knots];
    walk(at, level, noise, drift, leap);
    float[][] smooth = new float[knots][bands];
    float[][] variance = new float[knots][bands];
    double[] x = new double[knots];
    double[] p = new double[knots];
    for (int b = 0; b < bands; b++) {
      x[0] = level[0][b];
      p[0] = noise[0][b];
      for (int i = 1; i < knots; i++) {
        double ahead = p[i - 1] + step(i - 1, b, at, drift, leap);
        double gain = ahead / (ahead + noise[i][b]);
        x[i] = x[i - 1] + gain * (level[i][b] - x[i - 1]);
        p[i] = (1 - gain) * ahead;
      }
      smooth[knots - 1][b] = (float) x[knots - 1];
      variance[knots - 1][b] = (float) p[knots - 1];
      for (int i = knots - 2; i >= 0; i--) {
        double ahead = p[i] + step(i, b, at, drift, leap);
        double gain = p[i] / ahead;
        smooth[i][b] = (float) (x[i] + gain * (smooth[i + 1][b] - x[i]));
        variance[i][b] = (float) (p[i] + gain * gain * (variance[i + 1][b] - ahead));
      }
    }
    RoomTrack track = new RoomTrack(sampleRate, 0, at, smooth, variance, drift, leap, spread);
    track.takeOutMeans();
    return track;
  }

  /** Variance that is gained from a knot to the next. */
  private static double step(int knot, int band, long[] at, float[][] drift, float[] leap) {
    return drift[knot][band] * (at[knot + 1] - at[knot]) + leap[knot] * leap[knot];
  }

  /** Finds the variance a frame of the walk, by band, and the leaps between knots. */
  private static void walk(
      long[] at, float[][] level, float[][] noise, float[][] drift, float[] leap) {
    int knots = at.length;
    int bands = level[0].length;
    float[] ofBand = new float[bands];
    float[] steps = new float[Math.max(1, knots - 1)];
    float[] ofBands = new float[bands];
    for (int b = 0; b < bands; b++) {
      for (int i = 0; i + 1 < knots; i++) {
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
      ofBand[b] = (float) Math.max(0, sum / (to - from) / MIDDLE_HALF);
    }
    for (int i = 0; i < knots; i++) {
      drift[i] = ofBand;
      // A leap of all bands together, as when a fan is switched off, is no part of the walk.
      double usual = 0;
      for (int b = 0; b < bands && i + 1 < knots; b++) {
        ofBands[b] = level[i + 1][b] - level[i][b];
        usual += ofBand[b] * (at[i + 1] - at[i]) + noise[i][b] + noise[i + 1][b];
      }
      double common = i + 1 < knots ? Selection.median(ofBands, bands) : 0;
      leap[i] =
          Math.abs(common) > LEAST_LEAP_DB + LEAP * Math.sqrt(usual / bands) ? (float) common : 0;
    }
  }

  private static final double MIDDLE_HALF = 0.559;

  /** Half of the bands step by more than this many dB and usual deviations where the room leaps. */
  private static final double LEAST_LEAP_DB = 1.5;

  private static final double LEAP = 2;

  private void takeOutMeans() {
    for (int b = 0; b < spread.length; b++) {
      double sum = 0;
      for (float[] knot : level) {
        sum += knot[b];
      }
      for (float[] knot : level) {
        knot[b] -= (float) (sum / level.length);
      }
    }
  }

  /** The same track for audio that begins at a frame of it. */
  RoomTrack from(long frame) {
    return new RoomTrack(sampleRate, offset + frame, at, level, variance, drift, leaps, spread);
  }

  public int bands() {
    return spread.length;
  }

  /** Standard deviation of a band's level from moment to moment, in dB. */
  float spreadDb(int band) {
    return spread[band];
  }

  /**
   * The levels at a frame.
   *
   * @param levels receives the level of each band, in dB over the mean
   * @param deviations receives the standard deviation of each, in dB
   * @param leap receives how much softer and how much louder all bands together may be besides, in
   *     dB: both 0 but where the room leaps between two pauses
   */
  public void at(long frame, float[] levels, float[] deviations, float[] leap) {
    long here = frame + offset;
    int after = Arrays.binarySearch(at, here);
    after = after < 0 ? -1 - after : after;
    int before = Math.max(0, after - 1);
    after = Math.min(after, at.length - 1);
    long gap = at[after] - at[before];
    double x = gap == 0 ? 0 : Math.max(0, Math.min(1, (double) (here - at[before]) / gap));
    double beyond = Math.max(0, Math.max(at[0] - here, here - at[at.length - 1]));
    beyond = Math.min(beyond, LONGEST_REACH_S * sampleRate);
    for (int b = 0; b < levels.length; b++) {
      levels[b] = (float) (level[before][b] + x * (level[after][b] - level[before][b]));
      double walk = drift[before][b] * (gap * x * (1 - x) + beyond);
      double known = (1 - x) * variance[before][b] + x * variance[after][b];
      deviations[b] = (float) Math.sqrt(known + walk + spread[b] * spread[b]);
    }
    // Somewhere between the two knots it leaps: the level is that before it, or that after it.
    double toBefore = -x * leaps[before];
    double toAfter = (1 - x) * leaps[before];
    leap[0] = (float) Math.min(toBefore, toAfter);
    leap[1] = (float) Math.max(toBefore, toAfter);
  }
}
