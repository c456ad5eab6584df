package takewright.loop;

import java.util.Arrays;

/**
 * The part of a note in which it is held.
 *
 * @param first its first point of the {@link NoteCourse}
 * @param last its last
 * @param sounding points at which the note sounds at all
 * @param smooth the level by point in dB, smoothed so that a vibrato does not show
 * @param lifeDb how much that level comes and goes within the part, as a standard deviation
 * @param pitchCents mean pitch above the expected that a loop should have
 * @param diesAway whether nobody holds the note: it was struck or plucked and falls all the way
 */
record SteadyPart(
    int first,
    int last,
    int sounding,
    double[] smooth,
    double lifeDb,
    double pitchCents,
    boolean diesAway) {
  /** The steady part lies within this many dB of the note's level. */
  private static final double RANGE_DB = 6;

  /** Attack and release lie so far within its ends, in seconds. */
  private static final double ATTACK_S = 0.15;

  private static final double RELEASE_S = 0.1;

  /** Two swings of a slow vibrato. */
  private static final double SMOOTH_S = 0.3;

  /** What is quieter than this below the loudest is no part of the note's level, in dB. */
  private static final double SOUNDING_DB = 20;

  /** The note's level is that of its louder part, so that a swell is held where it is full. */
  private static final double LEVEL_QUANTILE = 0.75;

  /** Parts of a note that are compared to see whether it dies away. */
  private static final int PARTS = 6;

  /** It does if each is softer than the one before by at least this, in dB. */
  private static final double EACH_SOFTER_DB = 0.5;

  /** So far off the nominal pitch a loop may be meant to lie, in cents. */
  private static final double MAX_OFF_CENTS = 2;

  static SteadyPart of(NoteCourse course, int sampleRate) {
    double[] smooth = course.smoothed(course.level, SMOOTH_S * sampleRate);
    double loudest = Arrays.stream(smooth).max().orElse(0);
    double[] sounding =
        Arrays.stream(smooth).filter(l -> l > loudest - SOUNDING_DB).sorted().toArray();
    double reference = sounding[(int) (LEVEL_QUANTILE * (sounding.length - 1))];
    int first = 0;
    while (first < smooth.length && smooth[first] < reference - RANGE_DB) {
      first++;
    }
    int last = smooth.length - 1;
    while (last > first && smooth[last] < reference - RANGE_DB) {
      last--;
    }
    first = Math.min(smooth.length - 1, first + course.points(ATTACK_S * sampleRate));
    last = Math.max(first, last - course.points(RELEASE_S * sampleRate));
    double mean = mean(smooth, first, last + 1);
    double variance =
        Arrays.stream(smooth, first, last + 1)
            .map(l -> (l - mean) * (l - mean))
            .average()
            .orElse(0);
    // A vibrato's mean may lie off the pitch that the note was tuned by, which is its middle; but
    // what is held for long is heard against other notes.
    double own =
        course.hasVibrato(first, last) && last > first
            ? course.phase.cents(first * course.hop, last * course.hop)
            : 0;
    double pitch = Math.max(-MAX_OFF_CENTS, Math.min(MAX_OFF_CENTS, own));
    return new SteadyPart(
        first,
        last,
        sounding.length,
        smooth,
        Math.sqrt(variance),
        pitch,
        diesAway(smooth, loudest - SOUNDING_DB, course.points(ATTACK_S * sampleRate)));
  }

  /**
   * Whether the level falls from part to part, and by more in all than a held note may move.
   *
   * @param soundingDb what is softer is no part of the note
   * @param attack points left out at the beginning
   */
  private static boolean diesAway(double[] smooth, double soundingDb, int attack) {
    int from = 0;
    while (from < smooth.length && smooth[from] <= soundingDb) {
      from++;
    }
    int to = smooth.length;
    while (to > from && smooth[to - 1] <= soundingDb) {
      to--;
    }
    from = Math.min(from + attack, to);
    if (to - from < PARTS) {
      return false;
    }
    double firstDb = mean(smooth, from, from + (to - from) / PARTS);
    double lastDb = firstDb;
    for (int part = 1; part < PARTS; part++) {
      double db =
          mean(smooth, from + part * (to - from) / PARTS, from + (part + 1) * (to - from) / PARTS);
      if (db > lastDb - EACH_SOFTER_DB) {
        return false;
      }
      lastDb = db;
    }
    return lastDb < firstDb - RANGE_DB;
  }

  private static double mean(double[] values, int from, int to) {
    return Arrays.stream(values, from, to).average().orElse(0);
  }
}
