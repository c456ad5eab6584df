package takewright.segment;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * What the room sounds like with nobody playing, learnt from the take itself and followed as it
 * changes.
 *
 * <p>The take is laid out in slabs of a quarter second. Slabs of room tone are alike and lie lower
 * than anything played, so they are the cluster at the bottom of the slabs around a moment; the
 * tone is their median, band by band, which a bow scrape in one of them does not move.
 */
final class RoomTone {
  /** Columns a slab: at a hop of 21 ms, a quarter second. */
  static final int COLUMNS = 12;

  /**
   * How far a slab's mean log level may lie above the lowest, in dB. Over 12 columns and some 25
   * bands stationary noise spreads by about 0.3 dB, so this is wide enough for a room and far below
   * a note.
   */
  private static final double CLUSTER_DB = 2;

  /** Slabs this low, in dBFS mean over the bands, are a gap in the recording rather than a room. */
  private static final double DEAD_DB = -150;

  /** A tone is made of at least so many slabs, the lowest ones if the cluster has fewer. */
  private static final int LEAST_SLABS = 3;

  private final int bands;
  private final int hop;
  private final int keep;
  private final ArrayList<float[]> slabs = new ArrayList<>();
  private final ArrayList<Double> levels = new ArrayList<>();
  private long first;
  private final float[] sum;
  private int columns;

  /**
   * @param bands number of bands
   * @param hop frames a column
   * @param keep slabs kept; older ones are let go
   */
  RoomTone(int bands, int hop, int keep) {
    this.bands = bands;
    this.hop = hop;
    this.keep = keep;
    sum = new float[bands];
  }

  /** Takes the next column in. */
  void add(float[] column) {
    for (int b = 0; b < bands; b++) {
      sum[b] += column[b];
    }
    if (++columns < COLUMNS) {
      return;
    }
    float[] slab = new float[bands];
    double level = 0;
    for (int b = 0; b < bands; b++) {
      slab[b] = sum[b] / COLUMNS;
      level += 10 * Math.log10(slab[b] + 1e-20);
      sum[b] = 0;
    }
    columns = 0;
    slabs.add(slab);
    levels.add(level / bands);
    if (slabs.size() > keep) {
      slabs.remove(0);
      levels.remove(0);
      first++;
    }
  }

  /**
   * Fills {@code tone} with the room's power by band, from the slabs from one column to another.
   */
  void at(long fromColumn, long toColumn, float[] tone) {
    int from = (int) Math.max(0, fromColumn / COLUMNS - first);
    int to = (int) Math.min(slabs.size(), toColumn / COLUMNS - first);
    List<Integer> quiet = quiet(from, to);
    if (quiet.isEmpty()) {
      // Nothing but digital silence, or less than a slab of audio: the quietest a file can hold.
      Arrays.fill(tone, 1e-15f);
      return;
    }
    float[] values = new float[quiet.size()];
    for (int b = 0; b < bands; b++) {
      for (int i = 0; i < values.length; i++) {
        values[i] = slabs.get(quiet.get(i))[b];
      }
      Arrays.sort(values);
      tone[b] = Math.max(1e-15f, values[values.length / 2]);
    }
  }

  /** Indices of the slabs that are room tone. */
  private List<Integer> quiet(int from, int to) {
    List<Integer> order = new ArrayList<>();
    for (int i = from; i < to; i++) {
      if (levels.get(i) > DEAD_DB) {
        order.add(i);
      }
    }
    order.sort((a, b) -> Double.compare(levels.get(a), levels.get(b)));
    int n = 0;
    while (n < order.size()
        && (n < LEAST_SLABS || levels.get(order.get(n)) <= levels.get(order.get(0)) + CLUSTER_DB)) {
      n++;
    }
    return order.subList(0, n);
  }

  /** Frames of a slab. */
  int slabFrames() {
    return COLUMNS * hop;
  }
}
