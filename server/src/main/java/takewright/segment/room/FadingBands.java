package takewright.segment.room;

import java.util.Arrays;
import takewright.dsp.Decibels;

/**
 * The bands in which one sound dies away. Behind its body each of them only falls, so that what
 * comes up again is the room; and where the room hides it, it goes on as it fell before.
 */
public final class FadingBands {
  /** A sound's body is within so much of the most that any band held, as a power ratio: 20 dB. */
  private static final double BODY = 0.01;

  /** A band that falls comes up by no more than this, as a power ratio (3 dB), as beats do. */
  private static final double FLUTTER = 2;

  /**
   * Near the room a band must keep falling by so much, in dB per second: within a second what the
   * room does by itself lies further above it. Where the room hides it, it does not fall more
   * slowly either.
   */
  private static final double SLOWEST_DB_PER_S = 6;

  /** Over so long, in seconds, the fall of a band is read. */
  private static final double READ_S = 0.4;

  /** A band that has fallen by less than this, as a power ratio (3 dB), is read over longer. */
  private static final double FALLEN = 2;

  /**
   * And one that has fallen by less within this, in seconds, falls no further: the slowest does so
   * within 0.5 s, and a little longer where noise hides some of it. Within a second rooms that had
   * risen by 4 dB did.
   */
  private static final double LONGEST_S = 0.6;

  /** How far a sound is followed where the room hides it, in seconds. */
  private static final double HIDDEN_S = 1;

  /** Under the room by so much, as a power ratio, a tail is not heard any more: 12 dB. */
  private static final double BELOW_ROOM = 0.063;

  /** So far back it is known what was heard up to a column, in seconds: over a lead-in of 1 s. */
  private static final double KNOWN_S = 2;

  private final Columns columns;
  private final int hidden;
  private final int read;
  private final int longest;
  private final double sinks;
  private final double[] level;
  private final double[] least;
  private final boolean[] wasHeard;

  /** Power of each band above the room, by column. */
  private final float[][] above;

  /** The column from which on each band falls as it did before, by column. */
  private final long[][] falls;

  /** The last column in which any band was heard so far, by column. */
  private final long[] lastHeard;

  /** Up to where the sound goes on, by column; but not of columns in which it is heard. */
  private final long[] lastsUntil;

  /**
   * Power of each band while it is followed below the room, and what it keeps of it each column.
   */
  private final double[] rest;

  private final double[] keeps;
  private final long first;
  private long newest;

  /** Whether the newest column is of the sound's body. */
  private boolean isBody;

  /**
   * Bands of a sound that was heard first in a column.
   *
   * @param columns of the take
   */
  public FadingBands(Columns columns, long first) {
    this.columns = columns;
    this.first = first;
    hidden = (int) columns.columnsOf(HIDDEN_S);
    read = (int) Math.max(2, columns.columnsOf(READ_S));
    longest = (int) Math.max(2, columns.columnsOf(LONGEST_S));
    sinks = Decibels.toPower(-SLOWEST_DB_PER_S / columns.columnsOf(1));
    int bands = columns.bandCount();
    level = new double[bands];
    least = new double[bands];
    wasHeard = new boolean[bands];
    rest = new double[bands];
    keeps = new double[bands];
    int known = (int) columns.columnsOf(KNOWN_S) + hidden + longest + 1;
    above = new float[known][bands];
    falls = new long[known][bands];
    lastHeard = new long[known];
    lastsUntil = new long[known];
    for (long[] row : falls) {
      Arrays.fill(row, first);
    }
    Arrays.fill(lastHeard, first);
    Arrays.fill(lastsUntil, first);
    newest = first;
  }

  /** Sets a band's mean power around the column that is added next; 0 if it is not the sound's. */
  public void set(int band, double power) {
    level[band] = power;
  }

  /**
   * Follows the bands to a column, which comes after those before.
   *
   * @param most most power above the room that any band held, times its bins
   */
  public void add(long column, Room room, double most) {
    int at = row(column);
    int before = row(newest);
    isBody = false;
    for (int b = 0; b < level.length; b++) {
      double over = Math.max(0, level[b] - room.power(b));
      above[at][b] = (float) (over * columns.bands().bins(b));
      isBody |= above[at][b] > BODY * most;
    }
    boolean isHeard = false;
    for (int b = 0; b < level.length; b++) {
      boolean is = level[b] > room.fade(b) && (isBody || level[b] < FLUTTER * least[b]);
      // What stops at once falls faster than it did before.
      boolean stops = wasHeard[b] && above[at][b] < above[before][b];
      falls[at][b] = is || stops ? column : falls[before][b];
      double may = level[b] > 2 * room.stay(b) ? least[b] : sinks * least[b];
      least[b] = isBody ? level[b] : Math.min(may, level[b]);
      wasHeard[b] = is;
      isHeard |= is;
    }
    lastHeard[at] = isHeard ? column : lastHeard[before];
    boolean wasAnyHeard = lastHeard[before] == newest && newest > first;
    lastsUntil[at] = !isHeard && wasAnyHeard ? lasts(newest, at, room) : lastsUntil[before];
    newest = column;
  }

  /** The column up to which the bands that fall are heard, from the last that shows them on. */
  private long lasts(long last, int row, Room room) {
    for (int b = 0; b < rest.length; b++) {
      long from = falls[row][b];
      keeps[b] = keeps(b, from);
      boolean isOver = last - from > hidden || keeps[b] == 0;
      rest[b] = isOver ? 0 : above[row(from)][b] * Math.pow(keeps[b], last - from);
    }
    double least = BELOW_ROOM * room.total();
    double sum = least;
    long column = last - 1;
    while (sum >= least && column < last + hidden) {
      sum = 0;
      for (int b = 0; b < rest.length; b++) {
        sum += rest[b];
        rest[b] *= keeps[b];
      }
      column++;
    }
    return column;
  }

  /** The share of its power that a band keeps from one column to the next, as it fell up to one. */
  private double keeps(int band, long column) {
    float now = above[row(column)][band];
    float most = now;
    long at = column;
    long oldest = Math.max(first, column - longest);
    for (long k = column - 1; k >= oldest && (k > column - read || most < FALLEN * now); k--) {
      float then = above[row(k)][band];
      if (then > most) {
        most = then;
        at = k;
      }
    }
    boolean hasFallen = now > 0 && most >= FALLEN * now;
    return hasFallen ? Math.min(sinks, Math.pow(now / most, 1.0 / (column - at))) : 0;
  }

  /**
   * The last column in which the sound was heard, by the columns up to one, of which the last two
   * seconds are known.
   */
  public long lastHeard(long column) {
    return lastHeard[row(known(column))];
  }

  /** The column up to which it goes on, heard or hidden by the room, by the same columns. */
  public long lastsUntil(long column, Room room) {
    long known = known(column);
    int row = row(known);
    boolean isHeard = lastHeard[row] == known && known > first;
    return isHeard ? lasts(known, row, room) : lastsUntil[row];
  }

  /**
   * Whether the newest column is as loud as the sound's body though the sound had died away more
   * than some columns before: what comes then is another.
   *
   * @param gap the columns, 1 or more
   */
  public boolean isOverBefore(long gap) {
    return isBody && newest > first && newest - lastHeard[row(newest - 1)] > gap;
  }

  private long known(long column) {
    long oldest = newest - columns.columnsOf(KNOWN_S);
    return Math.max(Math.max(first, oldest), Math.min(newest, column));
  }

  private int row(long column) {
    return (int) (column % above.length);
  }
}
