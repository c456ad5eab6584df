package takewright.segment.onset;

/**
 * The dip between a short noise of the room and a note that springs up right behind it. A rail
 * joint of 20 ms that comes near to an attack is louder than the note's first samples and leads
 * over to them, so that levels alone take it for their beginning.
 */
final class LastDip {
  /** Length of the means that are compared, in seconds: a few milliseconds, or a period. */
  private static final double MEAN_S = 0.005;

  /** A period of low notes counts up to this, in seconds, as far as their dips are bridged. */
  private static final double LONGEST_S = Rise.BRIDGE_S;

  /** What lies before a dip is looked for so far back, in seconds: a joint lasts 20 ms. */
  private static final double BEFORE_S = 0.02;

  /** What was there has fallen by this much in the dip, as a power ratio (6 dB). */
  private static final double FALLS = 4;

  /** A note rises out of it by this much, as a power ratio (12 dB), within so long, in seconds. */
  private static final double SPRINGS = 16;

  private static final double WITHIN_S = 0.008;

  /** The room alone is there in the dip: no more than so many times its power (6 dB). */
  private static final double LIKE_ROOM = 4;

  /** From one place that is looked at to the next, in seconds. */
  private static final double STEP_S = 0.00025;

  private LastDip() {}

  /**
   * The sample at which a note rises out of a dip, where something else had fallen before it.
   *
   * @param audio samples around the onset
   * @param from sample at which the note seems to set in
   * @param anchor a sample at which it is there for certain
   * @param hertz its pitch; 0 where it has none
   * @param room mean square of the room
   * @return {@code from} where there is no such dip behind it
   */
  static int before(
      float[] audio, int from, int anchor, double hertz, int sampleRate, double room) {
    double period = hertz > 0 ? Math.max(MEAN_S, 1 / hertz) : LONGEST_S;
    int mean = (int) (Math.min(LONGEST_S, period) * sampleRate);
    int reach = (int) (BEFORE_S * sampleRate) + mean / 2;
    int within = (int) (WITHIN_S * sampleRate) + mean / 2;
    int start = Math.max(0, from - reach - mean);
    float[] part = new float[Math.min(audio.length, anchor + within + mean) - start];
    System.arraycopy(audio, start, part, 0, part.length);
    double[] power = new double[part.length];
    SlidingPower.of(part, mean, power);
    int step = Math.max(1, (int) (STEP_S * sampleRate));
    for (int i = Math.max(from - start, mean); i <= anchor - start; i += step) {
      double after = power[Math.min(part.length - 1, i + within)];
      if (after > SPRINGS * power[i] && power[i] < LIKE_ROOM * room) {
        double before = max(power, Math.max(mean / 2, i - reach), i);
        if (before > FALLS * power[i] && before < after) {
          return start + lowest(power, i);
        }
      }
    }
    return from;
  }

  private static double max(double[] power, int from, int to) {
    double max = 0;
    for (int i = from; i < to; i++) {
      max = Math.max(max, power[i]);
    }
    return max;
  }

  /** The bottom of the dip that power falls into from a place on. */
  private static int lowest(double[] power, int from) {
    int at = from;
    while (at < power.length - 1 && power[at + 1] <= power[at]) {
      at++;
    }
    return at;
  }
}
