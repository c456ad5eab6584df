package takewright.segment;

import java.util.ArrayList;
import java.util.Arrays;
import takewright.dsp.Selection;

/**
 * What the room sounds like with nobody playing, learnt from the take itself and followed as it
 * changes.
 *
 * <p>The take is laid out in slabs of a quarter second. Slabs of room tone are alike and lie lower
 * than anything played, so they are the cluster at the bottom of the slabs around a moment; the
 * tone is their median, band by band, which a bow scrape in one of them does not move.
 *
 * <p>Digital silence is no room: before a recording or where it dropped out it is passed over. Only
 * where it is all that there is between sounds, as in a take that was gated, is the room silent.
 */
final class RoomTone {
  /** Columns a slab: at a hop of 21 ms, a quarter second. */
  static final int COLUMNS = 12;

  /** A slab with fewer columns that are not digital silence is dead. */
  private static final int LEAST_LIVE = 4;

  /**
   * How far a slab's mean log level may lie above the lowest, in dB. Over 12 columns and some 25
   * bands stationary noise spreads by about 0.3 dB, so this is wide enough for a room and far below
   * a note.
   */
  private static final double CLUSTER_DB = 2;

  /**
   * Where there is digital silence, a room lies at least this far below the loudest slab, in dB.
   */
  private static final double BELOW_LOUDEST_DB = 25;

  /** Where dead slabs outnumber the cluster by more than this, it is the ends of gated notes. */
  private static final int MOST_DEAD = 8;

  /** Power of a band's bins in a silent room: -130 dBFS, below what 24 bits can hold. */
  private static final float SILENCE = 1e-13f;

  private final int bands;
  private final int keep;
  private final ArrayList<float[]> slabs = new ArrayList<>();

  /** Mean log level of each slab in dB; NaN for dead ones. */
  private final ArrayList<Double> levels = new ArrayList<>();

  private long first;
  private final float[] sum;

  /** Work: indices of the slabs that are room tone, and their power in one band. */
  private final int[] quiet;

  private final float[] values;
  private int columns;
  private int live;

  /**
   * @param bands number of bands
   * @param keep slabs kept; older ones are let go
   */
  RoomTone(int bands, int keep) {
    this.bands = bands;
    this.keep = keep;
    sum = new float[bands];
    quiet = new int[keep + 1];
    values = new float[keep + 1];
  }

  /**
   * Takes the next column in.
   *
   * @param isLive whether it is audio at all, and not digital silence
   */
  void add(float[] column, boolean isLive) {
    if (isLive) {
      live++;
      for (int b = 0; b < bands; b++) {
        sum[b] += column[b];
      }
    }
    if (++columns < COLUMNS) {
      return;
    }
    float[] slab = new float[bands];
    double level = 0;
    for (int b = 0; b < bands; b++) {
      slab[b] = sum[b] / Math.max(1, live);
      level += 10 * Math.log10(slab[b] + 1e-20);
      sum[b] = 0;
    }
    slabs.add(slab);
    levels.add(live < LEAST_LIVE ? Double.NaN : level / bands);
    columns = 0;
    live = 0;
    if (slabs.size() > keep) {
      slabs.remove(0);
      levels.remove(0);
      first++;
    }
  }

  /** Fills {@code tone} with the room's power by band, from the slabs of some columns. */
  void at(long fromColumn, long toColumn, float[] tone) {
    int from = (int) Math.max(0, fromColumn / COLUMNS - first);
    int to = (int) Math.min(slabs.size(), toColumn / COLUMNS - first);
    int count = findQuiet(from, to);
    if (count == 0) {
      Arrays.fill(tone, SILENCE);
      return;
    }
    for (int b = 0; b < bands; b++) {
      for (int i = 0; i < count; i++) {
        values[i] = slabs.get(quiet[i])[b];
      }
      tone[b] = Math.max(SILENCE, Selection.find(values, count, count / 2));
    }
  }

  /**
   * Puts the slabs that are room tone into {@link #quiet} and counts them: 0 where the room is
   * digital silence.
   */
  private int findQuiet(int from, int to) {
    int lowest = -1;
    int dead = 0;
    for (int i = from; i < to; i++) {
      if (Double.isNaN(levels.get(i))) {
        dead++;
      } else if (lowest < 0 || levels.get(i) < levels.get(lowest)) {
        lowest = i;
      }
    }
    if (lowest < 0) {
      return 0;
    }
    double limit = levels.get(lowest) + CLUSTER_DB;
    int n = 0;
    for (int i = from; i < to; i++) {
      if (levels.get(i) <= limit) {
        quiet[n++] = i;
      }
    }
    boolean gated = dead > 0 && (dead > MOST_DEAD * n || !isBelowLoudest(from, to, lowest));
    return gated ? 0 : n;
  }

  /** Whether a slab's power lies well below that of the strongest that is not dead. */
  private boolean isBelowLoudest(int from, int to, int slab) {
    double most = 0;
    for (int i = from; i < to; i++) {
      most = Math.max(most, Double.isNaN(levels.get(i)) ? 0 : power(i));
    }
    return power(slab) < most * Math.pow(10, -BELOW_LOUDEST_DB / 10);
  }

  private double power(int slab) {
    double sum = 0;
    for (float x : slabs.get(slab)) {
      sum += x;
    }
    return sum;
  }
}
