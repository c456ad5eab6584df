package takewright.denoise.room;

import java.util.Arrays;

/**
 * How the level of a room moves over a take, band by band, and how well that is known.
 *
 * <p>The level is heard only where nobody plays. Each pause gives knots; between them the level is
 * taken for a random walk, whose steps are as large as the pauses of the take show, and the knots
 * are smoothed accordingly (H. Rauch, F. Tung and C. Striebel, "Maximum likelihood estimates of
 * linear dynamic systems", AIAA Journal 3, 1965). Away from the knots the level is interpolated,
 * and its variance grows with the distance, as that of a walk between two known points does; where
 * the whole room leaps between two knots, as when a fan is switched off, it changes where {@link
 * LeapFinder} hears it.
 *
 * <p>Levels are in dB over the room's mean; frames count from where the track begins.
 */
public final class RoomTrack {
  /** Before the first and after the last pause nothing is known that is further away; in frames. */
  private static final double LONGEST_REACH_S = 20;

  /** The room's level is unsure where it may be off by more than this, in dB. */
  public static final double UNSURE_DB = 3;

  /** The same of a whole take, in dB: what holds for every note is worth a word sooner. */
  private static final double RESTLESS_DB = 2;

  /** Knots further apart than this have something between them that hides the room, in seconds. */
  private static final double HIDDEN_S = 1;

  /** How well the course of a leap is known: this part of it is in doubt, half way through. */
  private static final double LEAP_DOUBT = 0.25;

  private final int sampleRate;
  private final long offset;
  private final long[] at;

  /** By knot and band. */
  private final float[][] level;

  private final float[][] variance;

  /** Variance that the walk gains a frame between a knot and the next, by knot and band; dB². */
  private final float[][] drift;

  /** Where the level leaps between a knot and the next; mostly null. */
  private final Leap[] leaps;

  /** Standard deviation of the level around the walk, from moment to moment, by band; dB. */
  private final float[] spread;

  private RoomTrack(
      int sampleRate,
      long offset,
      long[] at,
      float[][] level,
      float[][] variance,
      float[][] drift,
      Leap[] leaps,
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
        new Leap[1],
        spread);
  }

  /** A track through knots as they lie, none of which leaps. */
  public static RoomTrack through(
      int sampleRate, long[] at, float[][] level, float[][] noise, float[] spread) {
    RoomWalk walk = RoomWalk.of(at, level, noise);
    return through(sampleRate, walk, new Leap[at.length], spread);
  }

  /**
   * A track through knots.
   *
   * @param walk the knots, in dB, and how the level moves between them; the means are taken away
   * @param leaps where the level leaps between a knot and the next; null where it does not
   * @param spread of the room around the knots, by band, in dB
   */
  static RoomTrack through(int sampleRate, RoomWalk walk, Leap[] leaps, float[] spread) {
    long[] at = walk.at();
    float[][] level = walk.level();
    float[][] noise = walk.noise();
    int knots = at.length;
    int bands = spread.length;
    float[][] drift = new float[knots][];
    Arrays.fill(drift, walk.drift());
    float[][] smooth = new float[knots][bands];
    float[][] variance = new float[knots][bands];
    double[] x = new double[knots];
    double[] p = new double[knots];
    for (int b = 0; b < bands; b++) {
      x[0] = level[0][b];
      p[0] = noise[0][b];
      for (int i = 1; i < knots; i++) {
        double ahead = p[i - 1] + walk.step(i - 1, b);
        double gain = ahead / (ahead + noise[i][b]);
        x[i] = x[i - 1] + gain * (level[i][b] - x[i - 1]);
        p[i] = (1 - gain) * ahead;
      }
      smooth[knots - 1][b] = (float) x[knots - 1];
      variance[knots - 1][b] = (float) p[knots - 1];
      for (int i = knots - 2; i >= 0; i--) {
        double ahead = p[i] + walk.step(i, b);
        double gain = p[i] / ahead;
        smooth[i][b] = (float) (x[i] + gain * (smooth[i + 1][b] - x[i]));
        variance[i][b] = (float) (p[i] + gain * gain * (variance[i + 1][b] - ahead));
      }
    }
    RoomTrack track = new RoomTrack(sampleRate, 0, at, smooth, variance, drift, leaps, spread);
    track.takeOutMeans();
    return track;
  }

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
   * How far the level may be off where the room is hidden, in dB: the standard deviation, averaged
   * over the bands and over the time between pauses and behind the last one, where a take whose
   * notes follow each other closely may have all of them.
   */
  double hiddenDoubtDb() {
    long every = (long) (HIDDEN_S / 2 * sampleRate);
    float[] levels = new float[bands()];
    float[] deviations = new float[bands()];
    double sum = 0;
    long count = 0;
    for (int i = 0; i < at.length; i++) {
      boolean isLast = i + 1 == at.length;
      long next = isLast ? at[i] + (long) (LONGEST_REACH_S * sampleRate) : at[i + 1];
      if (next - at[i] <= HIDDEN_S * sampleRate) {
        continue;
      }
      for (long frame = at[i] + every / 2; frame < next; frame += every) {
        at(frame - offset, levels, deviations);
        for (float deviation : deviations) {
          sum += deviation / bands();
        }
        count++;
      }
    }
    return count == 0 ? 0 : sum / count;
  }

  /**
   * Whether the level is unsure all through the take, as in a train, and not under a note alone.
   */
  boolean isRestless() {
    return hiddenDoubtDb() > RESTLESS_DB;
  }

  /** Whether a frame lies between two knots between which the whole room leaps. */
  boolean mayHaveLeapt(long frame) {
    int after = Arrays.binarySearch(at, frame + offset);
    after = after < 0 ? -1 - after : after;
    return after > 0 && after < at.length && leaps[after - 1] != null;
  }

  /**
   * The levels at a frame.
   *
   * @param levels receives the level of each band, in dB over the mean
   * @param deviations receives the standard deviation of each, in dB
   */
  public void at(long frame, float[] levels, float[] deviations) {
    long here = frame + offset;
    int after = Arrays.binarySearch(at, here);
    after = after < 0 ? -1 - after : after;
    int before = Math.max(0, after - 1);
    after = Math.min(after, at.length - 1);
    long gap = at[after] - at[before];
    double x = gap == 0 ? 0 : Math.max(0, Math.min(1, (double) (here - at[before]) / gap));
    double beyond = Math.max(0, Math.max(at[0] - here, here - at[at.length - 1]));
    beyond = Math.min(beyond, LONGEST_REACH_S * sampleRate);
    Leap leap = leaps[before];
    double done = leap == null ? x : leap.done(here);
    double unsure = leap == null ? 0 : done * (1 - done);
    for (int b = 0; b < levels.length; b++) {
      double step = level[after][b] - level[before][b];
      levels[b] = (float) (level[before][b] + done * step);
      double walk = drift[before][b] * (gap * x * (1 - x) + beyond);
      double known = (1 - x) * variance[before][b] + x * variance[after][b];
      double leaping = unsure * LEAP_DOUBT * step * LEAP_DOUBT * step;
      deviations[b] = (float) Math.sqrt(known + walk + leaping + spread[b] * spread[b]);
    }
  }
}
