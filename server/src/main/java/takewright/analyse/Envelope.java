package takewright.analyse;

import takewright.audio.Clip;
import takewright.dsp.Decibels;

/**
 * The level of a sample over time. Levels are RMS over all channels; 0 dBFS is a mean square of 1.
 * Times are read from the level of 5 ms, taken every millisecond.
 *
 * @param onsetS where the sound sets in, in seconds from the start: first within 40 dB of the
 *     loudest, and 6 dB above what was before
 * @param attackMs from a tenth to nine tenths of the first maximum's amplitude, in milliseconds, as
 *     rise times are usually given (IEC 60469)
 * @param decayMs from the loudest to where the sound is last within 20 dB of it, in milliseconds
 * @param releaseMs from there to where it is last within 60 dB, or 6 dB above what comes after, in
 *     milliseconds
 * @param steadyRmsDbfs level from first to last within 20 dB of the loudest, in dBFS
 * @param floorBeforeDbfs level before the sound, in dBFS; NaN if that is less than 20 ms
 * @param floorAfterDbfs level of the quietest 100 ms after the sound, in dBFS; NaN if it ends less
 *     than 40 dB below the loudest
 * @param signalToNoiseDb steady level over the lower of the two floors, in dB; NaN if neither is
 *     known
 */
public record Envelope(
    double onsetS,
    double attackMs,
    double decayMs,
    double releaseMs,
    double steadyRmsDbfs,
    double floorBeforeDbfs,
    double floorAfterDbfs,
    double signalToNoiseDb) {
  /** Points per second. */
  private static final int RATE = 1000;

  /** Points of the level around each: 5 ms, so that a low note's own swing does not show much. */
  private static final int SPAN = 5;

  /** Points for the level of the room: at least 20 ms, if possible 100 ms. */
  private static final int MIN_ROOM = 20;

  private static final int ROOM = 100;

  /** Power ratio of the onset: 40 dB. */
  private static final double ONSET = 1e-4;

  /** Power ratio of the steady part: 20 dB. */
  private static final double STEADY = 1e-2;

  /** Power ratio of the audible part: 60 dB. */
  private static final double HEARD = 1e-6;

  /** Power by which the halves of an even room may differ: 6 dB. */
  private static final double EVEN = 4;

  /** Power by which it stands above the room: 6 dB. */
  private static final double RISE = 4;

  /** The envelope of a sample; all NaN for digital silence. */
  static Envelope measure(Clip sample) {
    double[] power = power(sample);
    double[] level = smoothed(power);
    int n = level.length;
    int loudest = 0;
    for (int i = 0; i < n; i++) {
      loudest = level[i] > level[loudest] ? i : loudest;
    }
    if (n == 0 || level[loudest] <= 0) {
      double no = Double.NaN;
      return new Envelope(no, no, no, no, no, no, no, no);
    }
    double max = level[loudest];
    int steadyFrom = first(level, STEADY * max);
    int steadyTo = last(level, STEADY * max);
    // The room before is what lies before the sound comes within 40 dB, less its own beginning.
    int rough = first(level, ONSET * max);
    boolean isLoudRoom = rough < MIN_ROOM;
    double before =
        isLoudRoom
            ? loudRoom(power, steadyFrom - MIN_ROOM / 2, steadyTo)
            : mean(power, 0, rough - MIN_ROOM / 2);
    double after = quietestAfter(power, steadyTo, max);
    double sound = Math.max(ONSET * max, Double.isNaN(before) ? 0 : RISE * before);
    int onset = first(level, sound);
    if (isLoudRoom && !Double.isNaN(before)) {
      // Such a room has crests of its own above that.
      onset = steadyFrom;
      while (onset > 0 && level[onset - 1] >= sound) {
        onset--;
      }
    }
    double end = Math.max(HEARD * max, Double.isNaN(after) ? 0 : RISE * after);
    int heardTo = Math.max(steadyTo, last(level, end));
    double steady = mean(power, steadyFrom, steadyTo + 1);
    double floor =
        Double.isNaN(before) ? after : Double.isNaN(after) ? before : Math.min(before, after);
    return new Envelope(
        (double) onset / RATE,
        attack(level, onset, max),
        loudest > steadyTo ? 0 : 1000.0 * (steadyTo - loudest) / RATE,
        1000.0 * (heardTo - steadyTo) / RATE,
        db(steady),
        db(before),
        db(after),
        db(steady) - db(floor));
  }

  /**
   * Mean power of a room that comes within 40 dB of the sound; NaN if what lies before the sound is
   * not as even as a room, or not as loud as what lies after it: some attacks are even for a while.
   */
  private static double loudRoom(double[] power, int to, int steadyTo) {
    if (to < MIN_ROOM) {
      return Double.NaN;
    }
    double first = mean(power, 0, to / 2);
    double second = mean(power, to / 2, to);
    double before = mean(power, 0, to);
    double after = quietest(power, steadyTo);
    boolean isRoom = Math.max(first, second) < EVEN * Math.min(first, second);
    return isRoom && before < EVEN * after ? before : Double.NaN;
  }

  /** From a tenth to nine tenths of the first maximum that reaches 6 dB below the loudest. */
  private static double attack(double[] level, int onset, double max) {
    int at = first(level, max / 4);
    while (at + 1 < level.length && rises(level, at)) {
      at++;
    }
    double top = level[at];
    int nine = onset;
    while (level[nine] < 0.81 * top) {
      nine++;
    }
    int tenth = nine;
    while (tenth > 0 && level[tenth] > 0.01 * top) {
      tenth--;
    }
    return 1000.0 * (nine - tenth) / RATE;
  }

  /** Whether anything within the next 20 ms is louder. */
  private static boolean rises(double[] level, int at) {
    for (int k = at + 1; k < Math.min(level.length, at + MIN_ROOM); k++) {
      if (level[k] > level[at]) {
        return true;
      }
    }
    return false;
  }

  private static double quietestAfter(double[] power, int steadyTo, double max) {
    double min = quietest(power, steadyTo);
    return min < ONSET * max ? min : Double.NaN;
  }

  /** Least power of 100 ms behind a sound; NaN if there are less than 20 ms. */
  private static double quietest(double[] power, int steadyTo) {
    int from = steadyTo + 1;
    int span = Math.min(ROOM, power.length - from);
    if (span < MIN_ROOM) {
      return Double.NaN;
    }
    double sum = 0;
    double min = Double.MAX_VALUE;
    for (int i = from; i < power.length; i++) {
      sum += power[i];
      if (i - from >= span) {
        sum -= power[i - span];
      }
      // Digital silence is a cut or padding, not the room.
      if (i - from >= span - 1 && sum > 1e-15 * span) {
        min = Math.min(min, sum / span);
      }
    }
    return min;
  }

  private static double[] power(Clip sample) {
    int n = (int) ((long) sample.frames() * RATE / sample.sampleRate());
    double[] power = new double[n];
    for (int c = 0; c < sample.channels(); c++) {
      float[] x = sample.channel(c);
      for (int i = 0; i < n; i++) {
        int from = (int) ((long) i * sample.sampleRate() / RATE);
        int to = (int) ((i + 1L) * sample.sampleRate() / RATE);
        double sum = 0;
        for (int k = from; k < to; k++) {
          sum += (double) x[k] * x[k];
        }
        power[i] += sum / (to - from) / sample.channels();
      }
    }
    return power;
  }

  private static double[] smoothed(double[] power) {
    double[] level = new double[power.length];
    int half = SPAN / 2;
    for (int i = 0; i < power.length; i++) {
      level[i] = mean(power, Math.max(0, i - half), Math.min(power.length, i + half + 1));
    }
    return level;
  }

  private static double mean(double[] values, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += values[i];
    }
    return sum / Math.max(1, to - from);
  }

  private static int first(double[] level, double min) {
    int i = 0;
    while (i < level.length - 1 && level[i] < min) {
      i++;
    }
    return i;
  }

  private static int last(double[] level, double min) {
    int i = level.length - 1;
    while (i > 0 && level[i] < min) {
      i--;
    }
    return i;
  }

  private static double db(double power) {
    return Double.isNaN(power) ? Double.NaN : Math.max(-200, Decibels.fromPower(power + 1e-30));
  }
}
