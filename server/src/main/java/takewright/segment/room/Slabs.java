package takewright.segment.room;

import java.util.Arrays;
import java.util.function.LongPredicate;
import takewright.dsp.Decibels;

/**
 * The take in slabs of an eighth of a second, the latest ones, as {@link RoomModel} learns from
 * them. What is kept of a band lies together, since the room is learnt band by band.
 */
final class Slabs {
  /** Columns a slab: at a hop of 21 ms, an eighth of a second. */
  static final int COLUMNS = 6;

  /** Columns over which a start is decided. */
  static final int PAIR = 2;

  /** Pairs of columns a slab. */
  static final int PAIRS = COLUMNS / PAIR;

  /** A slab with fewer columns that are not digital silence is dead. */
  private static final int MIN_LIVE = 2;

  private final int bands;
  private final int kept;

  /** Slots for slabs, a power of two. */
  private final int capacity;

  /** Mean power of a slab's columns, and the same in dB, by band and slot. */
  private final float[] mean;

  private final float[] db;

  /** Mean power of each pair of columns, by band, slot and pair. */
  private final float[] pairs;

  private final float[] level;
  private final float[] prominence;
  private final float[] power;
  private final boolean[] isLive;
  private final boolean[] isDead;
  private final boolean[] isSounding;

  /** Whether it was asked for a pitch, and whether one holds in it. */
  private final boolean[] isAsked;

  private final boolean[] isPitched;
  private long end;

  private final float[] sum;
  private final float[] pairSum;
  private double prominenceSum;
  private int columns;
  private int liveColumns;

  /**
   * @param bands number of bands
   * @param kept slabs that are kept
   */
  Slabs(int bands, int kept) {
    this.bands = bands;
    this.kept = kept;
    capacity = Integer.highestOneBit(kept) * 2;
    mean = new float[bands * capacity];
    db = new float[bands * capacity];
    pairs = new float[bands * capacity * PAIRS];
    level = new float[capacity];
    prominence = new float[capacity];
    power = new float[capacity];
    isLive = new boolean[capacity];
    isDead = new boolean[capacity];
    isSounding = new boolean[capacity];
    isAsked = new boolean[capacity];
    isPitched = new boolean[capacity];
    sum = new float[bands];
    pairSum = new float[bands * PAIRS];
  }

  /**
   * Takes the next column in.
   *
   * @param isAudio whether it is audio at all, and not digital silence
   * @param standsOut how far its strongest partials stand out, in dB
   */
  void add(float[] column, boolean isAudio, double standsOut) {
    if (isAudio) {
      liveColumns++;
      prominenceSum += standsOut;
      int pair = columns / PAIR;
      for (int b = 0; b < bands; b++) {
        sum[b] += column[b];
        pairSum[b * PAIRS + pair] += column[b] / PAIR;
      }
    }
    if (++columns == COLUMNS) {
      close();
    }
  }

  private void close() {
    int slot = slot(end++);
    double levels = 0;
    double powers = 0;
    for (int b = 0; b < bands; b++) {
      int at = b * capacity + slot;
      mean[at] = sum[b] / Math.max(1, liveColumns);
      db[at] = (float) Decibels.fromPower(mean[at] + 1e-20);
      levels += db[at];
      powers += mean[at];
      System.arraycopy(pairSum, b * PAIRS, pairs, at * PAIRS, PAIRS);
    }
    level[slot] = (float) (levels / bands);
    power[slot] = (float) powers;
    prominence[slot] = (float) (prominenceSum / COLUMNS);
    isLive[slot] = liveColumns == COLUMNS;
    isDead[slot] = liveColumns < MIN_LIVE;
    isSounding[slot] = false;
    isAsked[slot] = false;
    Arrays.fill(sum, 0);
    Arrays.fill(pairSum, 0);
    prominenceSum = 0;
    columns = 0;
    liveColumns = 0;
  }

  private int slot(long slab) {
    return (int) slab & (capacity - 1);
  }

  /** Number of slabs so far. */
  long end() {
    return end;
  }

  /** The oldest slab that is kept. */
  long first() {
    return Math.max(0, end - kept);
  }

  int bands() {
    return bands;
  }

  /** Takes note that a sound was found from one column to another: no room, whatever it is like. */
  void sounds(long firstColumn, long lastColumn) {
    for (long s = Math.max(first(), firstColumn / COLUMNS);
        s <= Math.min(end - 1, lastColumn / COLUMNS);
        s++) {
      isSounding[slot(s)] = true;
    }
  }

  /** Whether a slab lies in a region that was found. */
  boolean isSounding(long slab) {
    return isSounding[slot(slab)];
  }

  /**
   * Whether a pitch holds in a slab; each is listened to once.
   *
   * @param holds tells it of a column
   */
  boolean isPitched(long slab, LongPredicate holds) {
    int slot = slot(slab);
    if (!isAsked[slot]) {
      isAsked[slot] = true;
      isPitched[slot] = holds.test(slab * COLUMNS + COLUMNS / 2);
    }
    return isPitched[slot];
  }

  /** Whether all of a slab is audio. */
  boolean isLive(long slab) {
    return isLive[slot(slab)];
  }

  /** Whether hardly any of it is. */
  boolean isDead(long slab) {
    return isDead[slot(slab)];
  }

  /** Mean level of all bands, in dB. */
  float level(long slab) {
    return level[slot(slab)];
  }

  /** How far the strongest partials stand out, in dB. */
  float prominence(long slab) {
    return prominence[slot(slab)];
  }

  /** Sum of the powers of all bands. */
  float power(long slab) {
    return power[slot(slab)];
  }

  /** Mean power of a band. */
  float mean(int band, long slab) {
    return mean[band * capacity + slot(slab)];
  }

  /** The same in dB. */
  float db(int band, long slab) {
    return db[band * capacity + slot(slab)];
  }

  /** Mean power of a band over one of the slab's pairs of columns. */
  float pair(int band, long slab, int pair) {
    return pairs[(band * capacity + slot(slab)) * PAIRS + pair];
  }
}
