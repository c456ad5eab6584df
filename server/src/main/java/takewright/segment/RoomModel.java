package takewright.segment;

import java.util.Arrays;
import takewright.dsp.Selection;

/**
 * What the room sounds like with nobody playing: how loud each band of it is, and how far it moves
 * by itself over the lengths of time in which a sound's start and its end are decided.
 *
 * <p>The take is laid out in slabs of an eighth of a second. On either side of a moment the slabs
 * of the room are sought: those in which no partials stand out, and of them the ones that lie
 * together at the bottom. Each side's median gives a level, and the greater of both is the room
 * (greatest-of constant false alarm rate detection, Hansen and Sawyers, IEEE Transactions on
 * Aerospace and Electronic Systems 16(1), 1980), so that a fan that goes on or off is no sound. How
 * far the slabs stray from their own side's median is the spread.
 *
 * <p>A threshold lies as many standard deviations over the level as a given rate of false alarms
 * asks for.
 *
 * <p>Digital silence is no room: before a recording or where it dropped out it is passed over. Only
 * where it is all that there is between sounds, as in a take that was gated, is the room silent.
 */
final class RoomModel {
  /** Columns a slab: at a hop of 21 ms, an eighth of a second. */
  static final int COLUMNS = 6;

  /** A slab with fewer columns that are not digital silence is dead. */
  private static final int LEAST_LIVE = 2;

  /** Columns over which a start is decided. */
  static final int PAIR = 2;

  private static final int PAIRS = COLUMNS / PAIR;

  /** Slabs of a side that are used, the nearest ones: five seconds. */
  private static final int NEAREST = 40;

  /** A room is at least this many slabs that are alike: half a second. A fade-in is fewer. */
  private static final int LEAST = 4;

  /** How far those may lie apart in their mean log level, in dB. */
  private static final double ALIKE_DB = 2.5;

  /** How far a room's loudest slab may lie above its quietest, in dB. A train's came to 11. */
  private static final double WIDEST_DB = 12;

  /** A step between the levels of two slabs that ends the cluster, in dB. */
  private static final double STEP_DB = 1.5;

  /**
   * Partials stand out where a slab's prominence lies this far above the least of all, in dB. In
   * rooms 99 of 100 slabs stay within.
   */
  private static final double TONAL_DB = 3;

  /** Share of the slabs in which a band lies lower than is usual for it. */
  private static final double USUAL_SHARE = 0.3;

  /**
   * Slabs rise over the usual in their loudest band by this many times their own spread more than
   * half of them do, and by this many dB.
   */
  private static final double EXCESS_TIMES = 3;

  private static final double EXCESS_DB = 2;

  /** Levels are near each other within this, in dB. */
  private static final float NEAR_DB = 2;

  /** The room lies at the lowest level that so large a share of the most slabs is near to. */
  private static final double DENSE_SHARE = 0.9;

  /** The same for the mean level of all bands, in dB. */
  private static final double LEVEL_DB = 0.3;

  /** Share of the slabs whose prominence lies below "the least": one may be an accident. */
  private static final double LEAST_SHARE = 0.05;

  /** Sides that differ by more than this, in dB, are a room and a sound that fills the other. */
  private static final double APART_DB = 20;

  /** Standard deviations at percentiles of a normal distribution. */
  private static final double AT_90 = 1.2816;

  /**
   * What is learnt of few values may be wrong by this many values' share, and the threshold lies
   * that much higher: the loss of constant false alarm rate detection with few reference cells.
   */
  private static final double FEW = 4;

  private static final double AT_95 = 1.6449;
  private static final double AT_98 = 2.0537;

  /**
   * Standard deviations that the power over two columns must exceed in one band of some twenty:
   * mere noise does so once in ten minutes (a normal distribution in dB, 47 columns a second).
   */
  private static final double START_DEVIATIONS = 4.6;

  /**
   * The same for staying, over nine columns: one band in twenty passes it by chance once in 30 s,
   * and a region lasts a quarter second longer for it.
   */
  private static final double STAY_DEVIATIONS = 3.2;

  /**
   * Where there is digital silence, a room lies at least this far below the loudest slab, in dB.
   */
  private static final double BELOW_LOUDEST_DB = 25;

  /** Where dead slabs outnumber the cluster by more than this, it is the ends of gated notes. */
  private static final int MOST_DEAD = 8 * 12 / COLUMNS;

  /** Power of a band's bins in a silent room: -130 dBFS, below what 24 bits can hold. */
  private static final float SILENCE = 1e-13f;

  private final int bands;
  private final int keep;
  private final int past;
  private final int future;

  /** What is kept of a slab. */
  private static final class Slab {
    float[] mean;
    float[] db;
    float[] pairs;
    float level;
    float prominence;
    boolean isLive;
    boolean isDead;

    /** Whether it lies in a region that was found. */
    boolean isSounding;
  }

  private final Slab[] slabs;
  private long end;

  private float[] sum;
  private float[] pairs;
  private double prominence;
  private int columns;
  private int live;

  private final float[] values;
  private final float[] deviations;
  private final Side before;
  private final Side after;

  /** The slabs of the room on one side of a moment, the nearest first, and their level. */
  private final class Side {
    final long[] quiet = new long[NEAREST];
    final float[] level = new float[bands];
    private final long[] candidate = new long[keep];
    private final float[] excess = new float[keep];

    /** How many sorted levels lie near above each. */
    private final int[] near = new int[keep];

    int count;
    double meanDb;

    /**
     * Seeks the slabs of the room, this many at least, among some in order or backwards.
     *
     * @param isIdle whether those in regions are left out
     */
    void find(long from, long to, boolean isNearestLast, int least, boolean isIdle) {
      count = 0;
      int n = 0;
      for (long s = from; s < to; s++) {
        if (slab(s).isLive && !(isIdle && slab(s).isSounding)) {
          values[n++] = slab(s).prominence;
        }
      }
      if (n < least) {
        return;
      }
      double tonal = Selection.find(values, n, (int) (LEAST_SHARE * n)) + TONAL_DB;
      n = 0;
      for (long s = from; s < to; s++) {
        if (slab(s).isLive && !(isIdle && slab(s).isSounding) && slab(s).prominence <= tonal) {
          values[n++] = slab(s).level;
        }
      }
      Arrays.sort(values, 0, n);
      int lowest = 0;
      while (lowest + least <= n && values[lowest + least - 1] - values[lowest] > ALIKE_DB) {
        lowest++;
      }
      if (lowest + least > n) {
        return;
      }
      int highest = lowest + least - 1;
      while (highest + 1 < n
          && values[highest + 1] - values[lowest] <= WIDEST_DB
          && values[highest + 1] - values[Math.max(lowest, highest - 1)] <= STEP_DB) {
        highest++;
      }
      float low = values[lowest];
      float high = values[highest];
      int candidates = 0;
      for (long i = 0; i < to - from; i++) {
        long s = isNearestLast ? to - 1 - i : from + i;
        Slab slab = slab(s);
        if (slab.isLive && slab.prominence <= tonal && slab.level >= low && slab.level <= high) {
          candidate[candidates++] = s;
        }
      }
      double most = mostExcess(candidates);
      double loudest = mostLevel(candidates);
      for (int i = 0; i < candidates && count < NEAREST; i++) {
        if (excess[i] <= most && slab(candidate[i]).level <= loudest) {
          quiet[count++] = candidate[i];
        }
      }
      meanDb = 0;
      for (int b = 0; b < bands; b++) {
        for (int i = 0; i < count; i++) {
          values[i] = slab(quiet[i]).mean[b];
        }
        level[b] = Math.max(SILENCE, Selection.find(values, count, count / 2));
        meanDb += 10 * Math.log10(level[b]) / bands;
      }
    }

    /**
     * How loud a slab of the room may be: as far above where most of them lie as those below show,
     * for what rings on lies above the room and never below.
     */
    private double mostLevel(int candidates) {
      for (int i = 0; i < candidates; i++) {
        values[i] = slab(candidate[i]).level;
      }
      Arrays.sort(values, 0, candidates);
      int densest = 0;
      for (int i = 0, to = 0; i < candidates; i++) {
        while (to < candidates && values[to] <= values[i] + NEAR_DB) {
          to++;
        }
        near[i] = to - i;
        densest = Math.max(densest, near[i]);
      }
      int at = 0;
      while (near[at] < DENSE_SHARE * densest) {
        at++;
      }
      while (at + 1 < candidates && near[at + 1] >= near[at]) {
        at++;
      }
      double middle = values[at + near[at] / 2];
      double least = values[candidates / 20];
      return middle + EXCESS_TIMES * Math.max(0, middle - least) + LEVEL_DB;
    }

    /**
     * How far a slab of the room may rise in any one band: a tail that rings in a few bands, low in
     * the mean of all, rises further than the room does.
     */
    private double mostExcess(int candidates) {
      Arrays.fill(excess, 0, candidates, 0);
      for (int b = 0; b < bands; b++) {
        for (int i = 0; i < candidates; i++) {
          values[i] = slab(candidate[i]).db[b];
        }
        float usual = Selection.find(values, candidates, (int) (USUAL_SHARE * candidates));
        for (int i = 0; i < candidates; i++) {
          excess[i] = Math.max(excess[i], slab(candidate[i]).db[b] - usual);
        }
      }
      System.arraycopy(excess, 0, values, 0, candidates);
      double least = Selection.find(values, candidates, candidates / 10);
      double middle = Selection.find(values, candidates, candidates / 2);
      return middle + EXCESS_TIMES * (middle - least) + EXCESS_DB;
    }

    double loudest() {
      double most = 0;
      for (int i = 0; i < count; i++) {
        most = Math.max(most, power(quiet[i]));
      }
      return most;
    }
  }

  /**
   * @param bands number of bands
   * @param past columns before a moment that tell of its room
   * @param future columns after it that do
   */
  RoomModel(int bands, int past, int future) {
    this.bands = bands;
    this.past = past / COLUMNS;
    this.future = future / COLUMNS;
    keep = this.past + this.future + 2;
    slabs = new Slab[keep];
    sum = new float[bands];
    pairs = new float[PAIRS * bands];
    values = new float[keep + 1];
    deviations = new float[2 * NEAREST * PAIRS];
    before = new Side();
    after = new Side();
  }

  private Slab slab(long index) {
    return slabs[(int) (index % keep)];
  }

  /**
   * Takes the next column in.
   *
   * @param isLive whether it is audio at all, and not digital silence
   * @param standsOut how far its strongest partials stand out, in dB
   */
  void add(float[] column, boolean isLive, double standsOut) {
    if (isLive) {
      live++;
      prominence += standsOut;
      for (int b = 0; b < bands; b++) {
        sum[b] += column[b];
        pairs[columns / PAIR * bands + b] += column[b] / PAIR;
      }
    }
    if (++columns < COLUMNS) {
      return;
    }
    Slab slab = new Slab();
    slab.mean = sum;
    slab.db = new float[bands];
    slab.pairs = pairs;
    slab.isLive = live == COLUMNS;
    slab.isDead = live < LEAST_LIVE;
    slab.prominence = (float) (prominence / COLUMNS);
    double level = 0;
    for (int b = 0; b < bands; b++) {
      sum[b] /= Math.max(1, live);
      slab.db[b] = (float) (10 * Math.log10(sum[b] + 1e-20));
      level += slab.db[b];
    }
    slab.level = (float) (level / bands);
    slabs[(int) (end++ % keep)] = slab;
    sum = new float[bands];
    pairs = new float[PAIRS * bands];
    prominence = 0;
    columns = 0;
    live = 0;
  }

  /** Takes note that a sound was found from one column to another: no room, whatever it is like. */
  void sounds(long firstColumn, long lastColumn) {
    long from = Math.max(0, Math.max(end - keep, firstColumn / COLUMNS));
    for (long s = from; s <= Math.min(end - 1, lastColumn / COLUMNS); s++) {
      slab(s).isSounding = true;
    }
  }

  /**
   * Learns the room at a column from the slabs around it.
   *
   * @param room is filled
   */
  void at(long column, Room room) {
    long here = Math.min(end, column / COLUMNS);
    long first = Math.max(0, Math.max(end - keep, here - past));
    long last = end;
    before.find(first, here, true, LEAST, true);
    if (before.count == 0) {
      before.find(first, here, true, LEAST, false);
    }
    after.find(here, last, false, LEAST, false);
    if (before.count == 0 && after.count == 0) {
      before.find(first, last, true, 1, false);
    }
    if (before.count == 0 && after.count == 0 || isGated(first, last)) {
      room.silence(SILENCE);
      return;
    }
    boolean usesBefore =
        before.count > 0 && (after.count == 0 || before.meanDb < after.meanDb + APART_DB);
    boolean usesAfter =
        after.count > 0 && (before.count == 0 || after.meanDb < before.meanDb + APART_DB);
    Side one = usesBefore ? before : after;
    Side other = usesBefore && usesAfter ? after : null;
    for (int b = 0; b < bands; b++) {
      float level = one.level[b];
      if (other != null) {
        level = Math.max(level, other.level[b]);
      }
      int pairCount = 0;
      int slabCount = 0;
      for (Side side : new Side[] {one, other}) {
        for (int i = 0; side != null && i < side.count; i++) {
          Slab slab = slab(side.quiet[i]);
          values[slabCount++] = slab.mean[b] / side.level[b];
          for (int p = 0; p < PAIRS; p++) {
            deviations[pairCount++] = slab.pairs[p * bands + b] / side.level[b];
          }
        }
      }
      room.learn(
          b,
          level,
          strayDb(deviations, pairCount, 0.98, AT_98, START_DEVIATIONS),
          strayDb(values, slabCount, 0.95, AT_95, STAY_DEVIATIONS));
    }
    room.learnTogether(strayTogetherDb(one, other));
  }

  /** How far the mean level of all bands strays from its side's, in dB. */
  private double strayTogetherDb(Side one, Side other) {
    int n = 0;
    for (Side side : new Side[] {one, other}) {
      for (int i = 0; side != null && i < side.count; i++) {
        values[n++] = (float) Math.pow(10, (slab(side.quiet[i]).level - side.meanDb) / 10);
      }
    }
    return strayDb(values, n, 0.95, AT_95, STAY_DEVIATIONS);
  }

  /**
   * By how much ratios stray upwards, in dB, further out than can be counted: by their 90th
   * percentile as a normal distribution does, or from a higher one on with that same slope, as a
   * room does that knocks now and then.
   *
   * @param high a percentile that can still be counted, as a share
   * @param atHigh standard deviations at which a normal distribution has it
   * @param deviations standard deviations asked for
   */
  private static double strayDb(
      float[] ratios, int count, double high, double atHigh, double deviations) {
    double deviation = quantileDb(ratios, count, 0.9) / AT_90;
    double knocks = quantileDb(ratios, count, high) + (deviations - atHigh) * deviation;
    double unsure = 1 + FEW / count;
    return Math.max(0, unsure * Math.max(deviations * deviation, knocks));
  }

  private static double quantileDb(float[] ratios, int count, double share) {
    int rank = Math.min(count - 1, (int) (share * count));
    return 10 * Math.log10(Selection.find(ratios, count, rank) + 1e-9f);
  }

  /** Whether digital silence, and not what lies lowest, is what there is between sounds. */
  private boolean isGated(long first, long last) {
    int dead = 0;
    double most = 0;
    for (long s = first; s < last; s++) {
      dead += slab(s).isDead ? 1 : 0;
      most = Math.max(most, slab(s).isLive ? power(s) : 0);
    }
    int n = before.count + after.count;
    double quiet = Math.max(before.loudest(), after.loudest());
    return dead > 0
        && (dead > MOST_DEAD * n || quiet >= most * Math.pow(10, -BELOW_LOUDEST_DB / 10));
  }

  private double power(long slab) {
    double sum = 0;
    for (float x : slab(slab).mean) {
      sum += x;
    }
    return sum;
  }
}
