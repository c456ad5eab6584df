package takewright.segment.flaw;

import java.util.List;
import takewright.dsp.Decibels;
import takewright.dsp.Selection;

/**
 * Hears how a note ends: whether it is stopped, and what sets in while it dies away, like a word, a
 * page or a chair. All that belongs to the note sinks there, so that whatever rises in several
 * bands together is something else.
 */
public final class TailSound {
  /** A rise is counted beyond this, in dB: the unrest of rooms and of what is left of the note. */
  private static final float UNREST_DB = 6;

  /** And no further than this, in dB. */
  private static final float MOST_DB = 30;

  /** Columns that the level before a rise is a mean of. */
  private static final int SMOOTH = 4;

  /** The last part of a note, in which it may be stopped, in seconds. */
  private static final double ENDS_S = 0.8;

  /** A note dies away from where its partials fall below this share of their usual power. */
  private static final float BODY = 0.03f;

  private TailSound() {}

  /** The column behind the last in which the partials are nearly as loud as they usually are. */
  public static int bodyEnd(float[] power) {
    float usual = Selection.find(power.clone(), power.length, power.length / 2);
    int end = power.length;
    while (end > 0 && power[end - 1] < BODY * usual) {
      end--;
    }
    return end;
  }

  /**
   * How far a note falls where it falls fastest in its last part, in dB.
   *
   * @param power of its partials, by column
   * @param columns within which it falls
   */
  public static double stopDb(float[] power, int columns, double columnS) {
    double most = 1;
    int from = Math.max(0, power.length - (int) (ENDS_S / columnS));
    for (int i = from; i + columns < power.length; i++) {
      most = Math.max(most, power[i] / power[i + columns]);
    }
    return Decibels.fromPower(most);
  }

  /**
   * How much rises behind a note, in dB times seconds; 0 where all of it sinks.
   *
   * @param levels of neighbouring bands, in dB by column
   * @param from column from which on the note dies away
   */
  public static double risesDbS(List<float[]> levels, int from, double columnS) {
    if (levels.isEmpty()) {
      return 0;
    }
    int n = levels.get(0).length;
    List<float[]> rises = levels.stream().map(level -> rises(level, from)).toList();
    float[] most = NeighbouringBands.together(rises, n);
    double sum = 0;
    for (int i = from; i < n; i++) {
      sum += Math.max(0, Math.min(MOST_DB, most[i]) - UNREST_DB) * columnS;
    }
    return sum;
  }

  /** How far each column lies over the least that was there before it, in dB. */
  private static float[] rises(float[] level, int from) {
    float[] rises = new float[level.length];
    float least = Float.POSITIVE_INFINITY;
    float sum = 0;
    for (int i = from; i < level.length; i++) {
      sum += level[i] - (i - from >= SMOOTH ? level[i - SMOOTH] : 0);
      rises[i] = Math.max(0, level[i] - least);
      if (i - from >= SMOOTH - 1) {
        least = Math.min(least, sum / SMOOTH);
      }
    }
    return rises;
  }
}
