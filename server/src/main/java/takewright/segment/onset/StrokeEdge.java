package takewright.segment.onset;

import takewright.segment.room.Columns;

/**
 * Where a string or a bar is struck while others ring. The rings have lost their high partials by
 * then, so that a stroke springs up in the second difference of the samples, which rises by 12 dB
 * an octave, however loud they are.
 */
public final class StrokeEdge {
  /** Lag of the second difference, in seconds: it passes most at 20 kHz, at any sample rate. */
  private static final double LAG_S = 1 / 40_000.0;

  /** Length of the steps in which power is summed, in seconds: a fortieth of the usual lead-in. */
  private static final double STEP_S = 0.00025;

  /** Steps of the means that are compared, 2 ms: the length of a pluck's first jolt. */
  private static final int MEAN = 8;

  /** Steps before a stroke that it rises from, 25 ms: a period of the lowest string that rings. */
  private static final int REACH = 100;

  /** A stroke rises by this over each of the means before it, as a power ratio (8 dB). */
  public static final double SPRINGS_UP = 6.3;

  /** What grows by more than this within as long behind is no stroke, as a power ratio (6 dB). */
  private static final double AT_ONCE = 4;

  /** Digital silence has more than no power, so that ratios stay numbers. */
  private static final double LEAST = 1e-20;

  /** Columns to either side of one in which the edge of its stroke is looked for. */
  private static final int AROUND = 2;

  private StrokeEdge() {}

  /**
   * Whether a stroke springs up around a column.
   *
   * @param least by how much, as a power ratio
   */
  public static boolean isAround(long column, Columns columns, double least) {
    int reach = AROUND * columns.hop();
    float[] audio = new float[4 * reach];
    columns.audio().copy(column * columns.hop() - 2L * reach, audio, audio.length);
    return find(audio, reach, 3 * reach, columns.sampleRate(), least) >= 0;
  }

  /**
   * The sample at which a stroke springs up most between two; -1 where nothing does.
   *
   * @param audio samples around, full scale at ±1
   * @param from first sample that may be it; what it rises from lies before
   * @param to last sample that may be it
   * @param sampleRate frames per second
   * @param least by how much it must spring up, as a power ratio
   */
  public static int find(float[] audio, int from, int to, int sampleRate, double least) {
    int step = Math.max(1, (int) (STEP_S * sampleRate));
    int lag = (int) Math.max(1, Math.round(LAG_S * sampleRate));
    int start = Math.max(2 * lag, from - REACH * step);
    int steps = (Math.min(audio.length, to + REACH * step) - start) / step;
    double[] power = means(powers(audio, start, step, Math.max(0, steps), lag));
    int best = -1;
    double most = least;
    for (int i = Math.max(REACH, (from - start) / step); i < power.length; i++) {
      // Nearly all are told by one mean before them.
      if (start + i * step <= to && power[i] > most * power[i - MEAN]) {
        double before = max(power, i - REACH, i - MEAN + 1);
        boolean isAtOnce = power[i] * AT_ONCE > max(power, i, i + REACH);
        if (power[i] > most * before && isAtOnce) {
          most = power[i] / before;
          best = start + i * step;
        }
      }
    }
    return best;
  }

  /** Power of the second difference, step by step. */
  private static double[] powers(float[] audio, int from, int step, int steps, int lag) {
    double[] power = new double[steps];
    for (int k = 0; k < steps; k++) {
      for (int i = from + k * step; i < from + (k + 1) * step; i++) {
        power[k] += square(audio, i, lag);
      }
    }
    return power;
  }

  /** The same over the steps of a mean from each on. */
  private static double[] means(double[] power) {
    double[] means = new double[Math.max(0, power.length - MEAN + 1)];
    for (int k = 0; k < means.length; k++) {
      means[k] = LEAST;
      for (int i = k; i < k + MEAN; i++) {
        means[k] += power[i];
      }
    }
    return means;
  }

  private static double max(double[] power, int from, int to) {
    double max = 0;
    for (int i = from; i < Math.min(to, power.length); i++) {
      max = Math.max(max, power[i]);
    }
    return max;
  }

  private static double square(float[] x, int i, int lag) {
    double bend = x[i] - 2.0 * x[i - lag] + x[i - 2 * lag];
    return bend * bend;
  }
}
