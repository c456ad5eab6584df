package takewright.segment.room;

import java.util.Arrays;
import takewright.dsp.Decibels;
import takewright.dsp.Selection;

/**
 * The slabs of the room on one side of a moment, the nearest first: those in which no partials
 * stand out and no band rises by itself, and of them the ones that lie together at the bottom.
 */
final class QuietSlabs {
  /** Slabs of a side that are used, the nearest ones: five seconds. */
  static final int NEAREST = 40;

  /** Of those that are quiet in the mean of all bands, so many are compared band by band. */
  private static final int COMPARED = 3 * NEAREST;

  /** How far the fewest slabs that make a room may lie apart in their mean log level, in dB. */
  private static final double ALIKE_DB = 2.5;

  /** How far a room's loudest slab may lie above its quietest, in dB. A train's came to 11. */
  private static final double WIDEST_DB = 12;

  /** A step between the levels of two slabs that ends the cluster, in dB. */
  private static final double STEP_DB = 1.5;

  /**
   * Partials stand out where a slab's prominence lies this far above the lowest of all, in dB. In
   * rooms 99 of 100 slabs stay within.
   */
  private static final double TONAL_DB = 3;

  /** Share of the slabs whose prominence lies below "the lowest": one may be an accident. */
  private static final double LOWEST_SHARE = 0.05;

  /**
   * Share of the slabs in which a band lies lower than is usual for it. No more than this may be
   * the room where low notes ring through most of the others.
   */
  private static final double USUAL_SHARE = 0.15;

  /**
   * Slabs of the room rise over the usual in their loudest band further than a quarter of all do by
   * this many times what lies between that quarter and the lowest twentieth, and by this many dB:
   * 4.5 standard deviations of a normal distribution over its mean.
   */
  private static final double RISE_TIMES = 5;

  private static final double RISE_DB = 2;

  /**
   * A slab of the room lies above the middle by at most this multiple of what the lowest lie below.
   */
  private static final double ABOVE_TIMES = 3;

  /** Levels are near each other within this, in dB. */
  private static final float NEAR_DB = 2;

  /** The room lies at the lowest level that so large a share of the most slabs is near to. */
  private static final double DENSE_SHARE = 0.9;

  /** The same for the mean level of all bands, in dB. */
  private static final double LEVEL_DB = 0.3;

  /** Fewer slabs at the ends of pauses do not tell how loud the room is. */
  private static final int FEWEST_LATE = 4;

  /** Power of a band's bins in a silent room: -130 dBFS, below what 24 bits can hold. */
  static final float SILENCE = 1e-13f;

  private final Slabs slabs;
  private final long[] quiet = new long[NEAREST];

  /** Which of them lie at the end of a pause. */
  private final boolean[] isLate = new boolean[NEAREST];

  private int count;

  /** How many of them, from the first on, hold no end of a sound. */
  private int steady;

  private final float[] level;

  /** The same where a band falls in the pauses: at their ends. */
  private final float[] sunk;

  private final boolean[] falls;

  /** Whether a band's {@link #sunk} is that of the pauses' ends. */
  private final boolean[] usesEnds;

  private final FallingBands falling;
  private final float[] loudestDb;

  /** The 90th percentile of each band over its median, in dB. */
  private final double[] risesDb;

  private double meanDb;

  private final long[] candidate;
  private final float[] excess;
  private final float[] values;

  /** How many sorted levels lie near above each. */
  private final int[] near;

  QuietSlabs(Slabs slabs, int capacity) {
    this.slabs = slabs;
    level = new float[slabs.bands()];
    sunk = new float[slabs.bands()];
    falls = new boolean[slabs.bands()];
    usesEnds = new boolean[slabs.bands()];
    falling = new FallingBands(slabs, NEAREST);
    loudestDb = new float[slabs.bands()];
    risesDb = new double[slabs.bands()];
    candidate = new long[capacity];
    excess = new float[capacity];
    values = new float[capacity];
    near = new int[capacity];
  }

  /** How many there are, up to {@link #NEAREST}. */
  int count() {
    return count;
  }

  /** How many of them, from the first on, hold no end of a sound. */
  int steady() {
    return steady;
  }

  /** Whether none of them holds the end of a sound. */
  boolean isSteady() {
    return steady == count;
  }

  /** One of them. */
  long slab(int index) {
    return quiet[index];
  }

  /** The median power of a band. */
  float level(int band) {
    return level[band];
  }

  /** The same where nothing dies away any more, as far as the ends of its pauses show. */
  float sunk(int band) {
    return sunk[band];
  }

  /**
   * Whether a band falls in its pauses, as what dies away does and what is switched on does not.
   */
  boolean falls(int band) {
    return falls[band];
  }

  /** Whether a slab tells how a band strays around {@link #sunk}. */
  boolean isSunk(int band, int index) {
    return !usesEnds[band] || isLate[index];
  }

  /** The mean of the bands' levels, in dB. */
  double meanDb() {
    return meanDb;
  }

  /** How far partials may stand out in a slab of the room among some, in dB. */
  double tonal(long from, long to) {
    int n = 0;
    for (long s = from; s < to; s++) {
      if (slabs.isLive(s)) {
        values[n++] = slabs.prominence(s);
      }
    }
    return n == 0 ? 0 : Selection.find(values, n, (int) (LOWEST_SHARE * n)) + TONAL_DB;
  }

  /**
   * Seeks the slabs of the room among some in order or backwards.
   *
   * @param fewest how many there must be at least
   * @param isIdle whether those in regions are left out
   */
  void find(long from, long to, boolean isNearestLast, int fewest, boolean isIdle, double tonal) {
    count = 0;
    steady = 0;
    int n = 0;
    for (long s = from; s < to; s++) {
      if (slabs.isLive(s) && !(isIdle && slabs.isSounding(s)) && slabs.prominence(s) <= tonal) {
        values[n++] = slabs.level(s);
      }
    }
    Arrays.sort(values, 0, n);
    int lowest = 0;
    while (lowest + fewest <= n && values[lowest + fewest - 1] - values[lowest] > ALIKE_DB) {
      lowest++;
    }
    if (lowest + fewest > n) {
      return;
    }
    int highest = lowest + fewest - 1;
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
      float here = slabs.level(s);
      boolean isRoom = slabs.isLive(s) && !(isIdle && slabs.isSounding(s));
      if (isRoom && slabs.prominence(s) <= tonal && here >= low && here <= high) {
        candidate[candidates++] = s;
      }
    }
    double maxLevel = maxLevel(candidates);
    int even = 0;
    for (int i = 0; i < candidates && even < COMPARED; i++) {
      if (slabs.level(candidate[i]) <= maxLevel) {
        candidate[even++] = candidate[i];
      }
    }
    double maxExcess = maxExcess(even);
    for (int i = 0; i < even && count < NEAREST; i++) {
      if (excess[i] <= maxExcess) {
        quiet[count++] = candidate[i];
      }
    }
    steady = count;
    learnLevels();
    falling.lay(quiet, count);
    for (int i = 0; i < count; i++) {
      isLate[i] = falling.isLate(i);
    }
    for (int b = 0; b < level.length; b++) {
      falls[b] = falling.falls(b, quiet);
    }
    learnSunk();
    learnLoudest();
  }

  /** How far its slabs stray from the median, in dB, in the band at the upper quartile. */
  double strayDb() {
    for (int b = 0; b < level.length; b++) {
      double squares = 0;
      double middle = Decibels.fromPower(level[b]);
      for (int i = 0; i < count; i++) {
        double off = slabs.db(b, quiet[i]) - middle;
        squares += off * off;
      }
      excess[b] = (float) Math.sqrt(squares / count);
    }
    return Selection.find(excess, level.length, level.length * 3 / 4);
  }

  /** How much further than another's its slabs rise over the median, in dB, in any one band. */
  double widerDb(QuietSlabs other) {
    double most = 0;
    for (int b = 0; b < level.length; b++) {
      most = Math.max(most, risesDb[b] - other.risesDb[b]);
    }
    return most;
  }

  /**
   * Puts the slabs that rise by more than some dB over another's loudest in any band behind the
   * steady ones: the end of a sound may be in them.
   */
  void setAside(QuietSlabs other, double byDb) {
    steady = 0;
    for (int i = 0; i < count; i++) {
      boolean isSteady = true;
      for (int b = 0; b < level.length && isSteady; b++) {
        isSteady = slabs.db(b, quiet[i]) <= other.loudestDb[b] + byDb;
      }
      if (isSteady) {
        long slab = quiet[steady];
        boolean late = isLate[steady];
        isLate[steady] = isLate[i];
        quiet[steady++] = quiet[i];
        quiet[i] = slab;
        isLate[i] = late;
      }
    }
  }

  /** Leaves out the slabs that were set aside. */
  void leaveOut() {
    count = steady;
    learnLevels();
    learnSunk();
  }

  private void learnSunk() {
    for (int b = 0; b < level.length; b++) {
      int late = 0;
      for (int i = 0; falls[b] && i < count; i++) {
        if (isLate[i]) {
          values[late++] = slabs.mean(b, quiet[i]);
        }
      }
      usesEnds[b] = late >= FEWEST_LATE;
      sunk[b] = usesEnds[b] ? Math.max(SILENCE, Selection.find(values, late, late / 2)) : level[b];
    }
  }

  private void learnLoudest() {
    for (int b = 0; b < level.length; b++) {
      loudestDb[b] = Float.NEGATIVE_INFINITY;
      for (int i = 0; i < count; i++) {
        loudestDb[b] = Math.max(loudestDb[b], slabs.db(b, quiet[i]));
      }
    }
  }

  private void learnLevels() {
    meanDb = 0;
    if (count == 0) {
      return;
    }
    for (int b = 0; b < level.length; b++) {
      for (int i = 0; i < count; i++) {
        values[i] = slabs.mean(b, quiet[i]);
      }
      level[b] = Math.max(SILENCE, Selection.find(values, count, count / 2));
      // What lies above the median stands behind it now.
      int high = Math.min(count - 1, count * 9 / 10);
      float loud = Selection.find(values, count / 2, count, high);
      risesDb[b] = Decibels.fromPower(loud / level[b] + 1e-9);
      meanDb += Decibels.fromPower(level[b]) / level.length;
    }
  }

  /**
   * How loud a slab of the room may be: as far above where most of them lie as those below show,
   * for what rings on lies above the room and never below.
   */
  private double maxLevel(int candidates) {
    for (int i = 0; i < candidates; i++) {
      values[i] = slabs.level(candidate[i]);
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
    double lowest = values[candidates / 20];
    return middle + ABOVE_TIMES * Math.max(0, middle - lowest) + LEVEL_DB;
  }

  /**
   * How far a slab of the room may rise in any one band: a tail that rings in a few bands, low in
   * the mean of all, rises further than the room does.
   */
  private double maxExcess(int candidates) {
    Arrays.fill(excess, 0, candidates, 0);
    for (int b = 0; b < level.length; b++) {
      for (int i = 0; i < candidates; i++) {
        values[i] = slabs.db(b, candidate[i]);
      }
      float usual = Selection.find(values, candidates, (int) (USUAL_SHARE * candidates));
      for (int i = 0; i < candidates; i++) {
        excess[i] = Math.max(excess[i], slabs.db(b, candidate[i]) - usual);
      }
    }
    System.arraycopy(excess, 0, values, 0, candidates);
    double lowest = Selection.find(values, candidates, candidates / 20);
    double quarter = Selection.find(values, candidates, candidates / 4);
    return quarter + RISE_TIMES * (quarter - lowest) + RISE_DB;
  }

  /** Power of the loudest, in all bands. */
  double loudest() {
    double max = 0;
    for (int i = 0; i < count; i++) {
      max = Math.max(max, slabs.power(quiet[i]));
    }
    return max;
  }
}
