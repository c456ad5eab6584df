package takewright.segment.room;

import java.util.Arrays;
import java.util.function.LongPredicate;
import takewright.dsp.Decibels;
import takewright.dsp.Selection;

/**
 * What the room sounds like with nobody playing: how loud each band of it is, and how far it moves
 * by itself over the lengths of time in which a sound's start and its end are decided.
 *
 * <p>The take is laid out in {@link Slabs}. On either side of a moment those of the room are sought
 * ({@link QuietSlabs}). Each side's median gives a level, and the greater of both is the room
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
public final class RoomModel {
  /** A room is at least this many slabs that are alike: half a second. A fade-in is fewer. */
  private static final int MIN_SLABS = 4;

  /** Sides that differ by more than this, in dB, are a room and a sound that fills the other. */
  private static final double APART_DB = 20;

  /**
   * Notes that ring into each other lift at least three bands over the middle one by more than 14
   * dB: by 19 to 31 in takes of a guitar. Where the level of a room changes, it is by 10 at most.
   */
  private static final int FEW_BANDS = 3;

  private static final double RINGS_DB = 14;

  /** And they stray more than the room by this factor: 1.5 to 6 in those takes. */
  private static final double UNSTEADY_TIMES = 1.3;

  /**
   * Slabs that rise over their median by this much more than the other side's, in dB, in any band,
   * hold the end of a sound: they do by 15 to 25 in takes of low strings, and in an hour of rooms
   * (train, dishwasher, air conditioning, wandering noise, babble) by 7.3 at most.
   */
  private static final double WIDER_DB = 11;

  /**
   * Slabs above the loudest of the other side by more than this in any band, in dB, may hold the
   * end of a sound, or something that the room does now and then.
   */
  private static final double LOUDER_DB = 6;

  /**
   * Slabs of notes that were found are no room if what lies between them is softer by more than
   * this, in dB: as far apart as those of a room may lie.
   */
  private static final double SOUNDS_DB = 2.5;

  /**
   * A band that falls in the pauses of one side is a sound there if it lies more than this above
   * the other side, in dB, and as much above the rise of the middle band. With 3, 6 and 12 dB as
   * many tails of 127 takes are cut.
   */
  private static final double FALLS_DB = 6;

  /** Slabs from which on the other side is known well enough to tell: a second. */
  private static final int KNOWN_SLABS = 8;

  /**
   * What comes is notes and no room if it is louder by more than this, in dB, and a pitch holds in
   * half of it: by 4 to 9, mostly 7 and more, where notes of 9 to 35 s fill the time that is looked
   * ahead. A train that comes up raises the bands by up to 4.
   */
  private static final double NOTES_DB = 4;

  /** Every fourth slab is searched for a pitch, about two a second, since the search is slow. */
  private static final int LISTENED = 4;

  /** Standard deviations at percentiles of a normal distribution. */
  private static final double AT_90 = 1.2816;

  private static final double AT_95 = 1.6449;
  private static final double AT_98 = 2.0537;

  /**
   * What is learnt of few values may be wrong by this many values' share, and the threshold lies
   * that much higher: the loss of constant false alarm rate detection with few reference cells.
   */
  private static final double FEW = 4;

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
  private static final int MAX_DEAD = 8 * 12 / Slabs.COLUMNS;

  private final int bands;
  private final int past;
  private final int future;
  private final int atFirst;
  private final Slabs slabs;
  private final QuietSlabs before;
  private final QuietSlabs after;
  private final LongPredicate holdsPitch;
  private final double[] bandDb;
  private final float[] slabRatios = new float[2 * QuietSlabs.NEAREST];
  private final float[] pairRatios = new float[2 * QuietSlabs.NEAREST * Slabs.PAIRS];

  /**
   * @param bands number of bands
   * @param past columns before a moment that tell of its room
   * @param future columns after it that do
   * @param atFirst columns at the beginning of the take that tell of the room in all of them
   * @param holdsPitch whether a pitch holds around a column
   */
  public RoomModel(int bands, int past, int future, int atFirst, LongPredicate holdsPitch) {
    this.bands = bands;
    this.holdsPitch = holdsPitch;
    bandDb = new double[bands];
    this.past = past / Slabs.COLUMNS;
    this.future = future / Slabs.COLUMNS;
    this.atFirst = atFirst / Slabs.COLUMNS;
    int capacity = this.past + this.future + 2;
    slabs = new Slabs(bands, capacity);
    before = new QuietSlabs(slabs, capacity);
    after = new QuietSlabs(slabs, capacity);
  }

  /**
   * Takes the next column in.
   *
   * @param isLive whether it is audio at all, and not digital silence
   * @param standsOut how far its strongest partials stand out, in dB
   */
  public void add(float[] column, boolean isLive, double standsOut) {
    slabs.add(column, isLive, standsOut);
  }

  /** Takes note that a sound was found from one column to another: no room, whatever it is like. */
  public void sounds(long firstColumn, long lastColumn) {
    slabs.sounds(firstColumn, lastColumn);
  }

  /**
   * Learns the room at a column from the slabs around it.
   *
   * @param room is filled
   */
  public void at(long column, Room room) {
    long last = Math.min(slabs.end(), Math.max(atFirst, column / Slabs.COLUMNS + future) + 1);
    long here = Math.min(last, column / Slabs.COLUMNS);
    long first = Math.max(slabs.first(), here - past);
    double tonal = before.tonal(first, last);
    findBefore(first, here, tonal);
    after.find(here, last, false, MIN_SLABS, false, tonal);
    if (before.count() == 0 && after.count() == 0) {
      before.find(first, last, true, 1, false, tonal);
    }
    if (before.count() == 0 && after.count() == 0 || isGated(first, last)) {
      room.silence(QuietSlabs.SILENCE);
      return;
    }
    setAside(before, after);
    setAside(after, before);
    boolean usesBefore = before.count() > 0 && (after.count() == 0 || !isSound(before, after));
    boolean usesAfter = after.count() > 0 && (before.count() == 0 || !isSound(after, before));
    usesAfter &= !(usesBefore && isNotes());
    boolean usesBoth = usesBefore && usesAfter;
    double riseDb = usesBoth ? riseDb(before, after) : 0;
    for (int b = 0; b < bands; b++) {
      boolean isBefore = usesBefore && !(usesBoth && diesAway(b, before, after, riseDb));
      boolean isAfter = usesAfter && !(usesBoth && diesAway(b, after, before, -riseDb));
      learn(b, isBefore ? before : after, isBefore && isAfter ? after : null, room);
    }
  }

  /**
   * Finds the room before a moment: between the sounds that were found, or wherever it is if that
   * is too short. Where nothing is known of what comes, the sounds count as well, unless they are
   * heard to be louder: without them little but a sound that goes on may be left.
   */
  private void findBefore(long first, long here, double tonal) {
    before.find(first, here, true, MIN_SLABS, true, tonal);
    int idle = before.count();
    if (idle == 0 || future == 0) {
      double idleDb = before.meanDb();
      before.find(first, here, true, MIN_SLABS, false, tonal);
      if (idle > 0 && (before.count() == 0 || before.meanDb() > idleDb + SOUNDS_DB)) {
        before.find(first, here, true, MIN_SLABS, true, tonal);
      }
    }
  }

  /** Learns one band of the room from a side, or from both. */
  private void learn(int b, QuietSlabs one, QuietSlabs other, Room room) {
    boolean isSteady = one.isSteady() && (other == null || other.isSteady());
    float level = other == null ? one.level(b) : Math.max(one.level(b), other.level(b));
    int count = slabRatios(b, one, other, false);
    double stayDb = stayDb(count);
    double fadeDb = Math.min(stayDb, strayBelowDb(count));
    if (!isSteady) {
      fadeDb = Math.min(fadeDb, stayDb(slabRatios(b, one, other, true)));
    }
    room.learn(b, level, startDb(b, one, other), stayDb, fadeDb);
    float sunk = other == null ? one.sunk(b) : Math.max(one.sunk(b), other.sunk(b));
    int late = sunk < level ? sunkRatios(b, one, other) : 0;
    if (late > 0) {
      room.learnSunk(b, sunk, Math.min(stayDb(late), strayBelowDb(late)));
    }
  }

  /**
   * Whether what seems to be the room on one side is a sound that fills it, by what the other side
   * shows: it is louder by far, or, like notes that ring on and on, rises in a few bands alone and
   * does not keep as steady as the room does.
   */
  private boolean isSound(QuietSlabs side, QuietSlabs other) {
    double louder = side.meanDb() - other.meanDb();
    if (louder <= 0 || louder >= APART_DB) {
      return louder > 0;
    }
    for (int b = 0; b < bands; b++) {
      bandDb[b] = decibels(side.level(b) / other.level(b));
    }
    Arrays.sort(bandDb);
    double risen = bandDb[bands - FEW_BANDS] - bandDb[bands / 2];
    return risen > APART_DB
        || risen > RINGS_DB && side.strayDb() > UNSTEADY_TIMES * other.strayDb();
  }

  /**
   * Whether what comes is notes, which leave no pause that is long enough to show the room: no fan
   * that goes on holds a pitch, and of what is seen for less than a second nothing is certain.
   */
  private boolean isNotes() {
    double louder = after.meanDb() - before.meanDb();
    if (after.count() < KNOWN_SLABS && before.count() >= KNOWN_SLABS) {
      return louder > SOUNDS_DB;
    }
    int listened = 0;
    int pitched = 0;
    for (int i = 0; i < after.count() && louder > NOTES_DB; i++) {
      if (after.slab(i) % LISTENED == 0) {
        listened++;
        pitched += slabs.isPitched(after.slab(i), holdsPitch) ? 1 : 0;
      }
    }
    return listened > 0 && 2 * pitched >= listened;
  }

  /** How far the middle band of one side lies above the other's, in dB. */
  private double riseDb(QuietSlabs side, QuietSlabs other) {
    for (int b = 0; b < bands; b++) {
      bandDb[b] = decibels(side.level(b) / other.level(b));
    }
    Arrays.sort(bandDb);
    return bandDb[bands / 2];
  }

  /**
   * Whether a band of one side holds what rings: it rises there over the other side's, and falls.
   */
  private static boolean diesAway(int band, QuietSlabs side, QuietSlabs other, double riseDb) {
    double risen = decibels(side.level(band) / other.level(band));
    return side.falls(band) && risen > FALLS_DB && risen - riseDb > FALLS_DB;
  }

  /** Sets aside what one side's slabs may hold of the end of a sound, by what the other's show. */
  private static void setAside(QuietSlabs side, QuietSlabs other) {
    if (side.count() > 0 && other.count() >= KNOWN_SLABS) {
      if (side.widerDb(other) > WIDER_DB) {
        side.setAside(other, WIDER_DB);
        side.leaveOut();
      }
      side.setAside(other, LOUDER_DB);
    }
  }

  /** How far above its level a band may come by itself over two columns, in dB. */
  private double startDb(int band, QuietSlabs one, QuietSlabs other) {
    int count = 0;
    for (QuietSlabs side : new QuietSlabs[] {one, other}) {
      for (int i = 0; side != null && i < side.count(); i++) {
        for (int p = 0; p < Slabs.PAIRS; p++) {
          pairRatios[count++] = slabs.pair(band, side.slab(i), p) / side.level(band);
        }
      }
    }
    return strayDb(pairRatios, count, 0.98, AT_98, START_DEVIATIONS);
  }

  /**
   * Compares a band's power in the slabs with its level, and says how many there are.
   *
   * @param isSteady whether those are left out that may hold the end of a sound
   */
  private int slabRatios(int band, QuietSlabs one, QuietSlabs other, boolean isSteady) {
    int count = 0;
    for (QuietSlabs side : new QuietSlabs[] {one, other}) {
      int to = side == null ? 0 : isSteady ? side.steady() : side.count();
      for (int i = 0; i < to; i++) {
        slabRatios[count++] = slabs.mean(band, side.slab(i)) / side.level(band);
      }
    }
    return count;
  }

  /** The same with the level of the pauses' ends, where the band falls in them. */
  private int sunkRatios(int band, QuietSlabs one, QuietSlabs other) {
    int count = 0;
    for (QuietSlabs side : new QuietSlabs[] {one, other}) {
      for (int i = 0; side != null && i < side.count(); i++) {
        if (side.isSunk(band, i)) {
          slabRatios[count++] = slabs.mean(band, side.slab(i)) / side.sunk(band);
        }
      }
    }
    return count;
  }

  /** How far above its level a band may come by itself over a slab, in dB. */
  private double stayDb(int count) {
    return count == 0 ? Double.MAX_VALUE : strayDb(slabRatios, count, 0.95, AT_95, STAY_DEVIATIONS);
  }

  /**
   * The same if it strayed upwards as it does downwards: the end of a sound lifts a band and never
   * lowers it.
   */
  private double strayBelowDb(int count) {
    double below = -decibels(Selection.find(slabRatios, 0, count, count / 10));
    return (1 + FEW / count) * STAY_DEVIATIONS * Math.max(0, below) / AT_90;
  }

  /**
   * By how much ratios stray upwards, in dB, further out than can be counted: by their 90th
   * percentile as a normal distribution does, or from a higher one on with that same slope, as a
   * room does that knocks now and then.
   *
   * @param high a percentile that can still be counted, as a share above 0.9
   * @param atHigh standard deviations at which a normal distribution has it
   * @param deviations standard deviations asked for
   */
  private static double strayDb(
      float[] ratios, int count, double high, double atHigh, double deviations) {
    int rank90 = Math.min(count - 1, (int) (0.9 * count));
    int rankHigh = Math.min(count - 1, (int) (high * count));
    double deviation = decibels(Selection.find(ratios, 0, count, rank90)) / AT_90;
    // What lies above the 90th percentile stands behind it now.
    double atTop = decibels(Selection.find(ratios, rank90, count, rankHigh));
    double knocks = atTop + (deviations - atHigh) * deviation;
    double unsure = 1 + FEW / count;
    return Math.max(0, unsure * Math.max(deviations * deviation, knocks));
  }

  private static double decibels(float ratio) {
    return Decibels.fromPower(ratio + 1e-9f);
  }

  /** Whether digital silence, and not what lies lowest, is what there is between sounds. */
  private boolean isGated(long first, long last) {
    int dead = 0;
    double max = 0;
    for (long s = first; s < last; s++) {
      dead += slabs.isDead(s) ? 1 : 0;
      max = Math.max(max, slabs.isLive(s) ? slabs.power(s) : 0);
    }
    int count = before.count() + after.count();
    double quiet = Math.max(before.loudest(), after.loudest());
    return dead > 0
        && (dead > MAX_DEAD * count || quiet >= max * Decibels.toPower(-BELOW_LOUDEST_DB));
  }
}
