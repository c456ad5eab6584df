package takewright.denoise.room;

import takewright.denoise.band.ThirdOctaves;

/**
 * Finds when the level of a whole room leaps between two pauses, under the notes between them.
 *
 * <p>Whatever sounds there can only add to the room, so the room is nowhere louder than the softest
 * band allows, each compared with what it is in the pause before and in the one after. A fan that
 * goes off has gone off by the first moment at which some band is softer than it was with the fan
 * on; one that goes on has not gone on before the last such moment. What a frame has shown of the
 * fall holds for those after it, however much of the room a note hides there, until the room alone
 * is heard as it was.
 */
final class LeapFinder {
  /** A band that changes by less than this tells nothing, in dB. */
  private static final float LEAST_DB = 3;

  /**
   * A band counts as high as chance could have lowered it, in standard deviations: among two
   * hundred thousand normal values one lies so low. A note hides the room for some hundred frames
   * of 26 bands.
   */
  private static final double CHANCE = 4.4;

  /**
   * The logarithm of the power of noise in one bin is skewed: soft values lie further off than
   * normal ones. Its skewness and excess, and how many bins of a window count as one.
   */
  private static final double SKEWNESS = -1.14;

  private static final double EXCESS = 2.4;
  private static final double BINS_ALIKE = 1.7;

  /** The change has begun where a band lies below this, and is over where one lies below that. */
  private static final double BEGUN = 0.8;

  private static final double OVER = 0.15;

  /** Below this the fall is heard for sure before a note that hides it: chance goes half as far. */
  private static final double FALLEN = 0.9;

  /** How long it takes at most before and after that, in seconds: a fan that runs down. */
  private static final double REST_S = 1;

  private final FrameLevels frames;
  private final int sampleRate;
  private final double[] doubt;

  /**
   * @param frames the levels of the frames of the take
   * @param spread of the room from moment to moment, by band, in dB
   */
  LeapFinder(FrameLevels frames, int sampleRate, ThirdOctaves bands, float[] spread) {
    this.frames = frames;
    this.sampleRate = sampleRate;
    doubt = new double[spread.length];
    for (int b = 0; b < doubt.length; b++) {
      double ofNoise = Math.sqrt(RoomLearner.VARIANCE_OF_BIN / bands.width(b));
      doubt[b] = Math.hypot(deviations(bands.width(b)) * ofNoise, CHANCE * spread[b]);
    }
  }

  /**
   * How many standard deviations the mean logarithm over some bins of noise lies off as rarely as a
   * normal value does by {@link #CHANCE} (E. Cornish and R. Fisher, "Moments and cumulants in the
   * specification of distributions", Review of the International Statistical Institute 5, 1938).
   */
  static double deviations(int bins) {
    double count = Math.max(1, bins / BINS_ALIKE);
    double skewness = SKEWNESS / Math.sqrt(count);
    double z = -CHANCE;
    double low =
        z
            + (z * z - 1) * skewness / 6
            + z * (z * z - 3) * EXCESS / count / 24
            - z * (2 * z * z - 5) * skewness * skewness / 36;
    return -low;
  }

  /** By knot, the leap that lies between it and the next; null where there is none. */
  Leap[] leaps(RoomWalk walk) {
    long[] at = walk.at();
    Leap[] leaps = new Leap[at.length];
    for (int i = 0; i + 1 < at.length; i++) {
      if (walk.leap()[i] != 0) {
        leaps[i] = find(at[i], at[i + 1], walk.level()[i], walk.level()[i + 1]);
      }
    }
    return leaps;
  }

  /**
   * The leap between two knots.
   *
   * @param start where the first knot lies, in frames
   * @param end where the second one lies
   * @param before levels of the bands at the first, in dB
   * @param after the same at the second
   */
  private Leap find(long start, long end, float[] before, float[] after) {
    int first = frames.after(start);
    int last = frames.after(end);
    boolean falls = sum(after) < sum(before);
    // Of the louder and the softer state, from the louder one on: 1 is the louder, 0 the softer.
    float[] loud = falls ? before : after;
    float[] soft = falls ? after : before;
    int step = falls ? 1 : -1;
    long full = falls ? start : end;
    double least = 1;
    for (int i = falls ? first : last - 1; i >= first && i < last; i += step) {
      double share = loudness(i, loud, soft);
      least = share >= 1 && isBare(i, loud) ? 1 : Math.min(least, share);
      if (share >= 1 && least >= FALLEN) {
        full = frames.at(i);
      } else if (share <= BEGUN) {
        return leap(i, full, loud, soft, falls, first, last);
      }
    }
    // Hidden to the end by what sounds.
    long hidden = falls ? end : start;
    return new Leap(hidden, hidden);
  }

  /** The leap that has begun at a frame, going to the softer state. */
  private Leap leap(
      int begun, long full, float[] loud, float[] soft, boolean falls, int first, int last) {
    long rest = (long) (REST_S * sampleRate);
    int step = falls ? 1 : -1;
    int over = begun;
    while (over + step >= first
        && over + step < last
        && Math.abs(frames.at(over + step) - frames.at(begun)) <= rest
        && loudness(over, loud, soft) > OVER) {
      over += step;
    }
    if (falls) {
      return new Leap(Math.max(full, frames.at(begun) - rest), frames.at(over));
    }
    return new Leap(frames.at(over), Math.min(full, frames.at(begun) + rest));
  }

  /** Between the softer state, 0, and the louder one, 1: the highest that a frame allows. */
  private double loudness(int frame, float[] loud, float[] soft) {
    double least = 1;
    for (int b = 0; b < doubt.length; b++) {
      double range = loud[b] - soft[b];
      if (range > LEAST_DB) {
        least = Math.min(least, (frames.level(frame, b) + doubt[b] - soft[b]) / range);
      }
    }
    return Math.max(0, least);
  }

  /** Whether nothing stands above the louder state: what is heard there is the room itself. */
  private boolean isBare(int frame, float[] loud) {
    for (int b = 0; b < doubt.length; b++) {
      if (frames.level(frame, b) > loud[b] + doubt[b]) {
        return false;
      }
    }
    return true;
  }

  private static double sum(float[] levels) {
    double sum = 0;
    for (float level : levels) {
      sum += level;
    }
    return sum;
  }
}
