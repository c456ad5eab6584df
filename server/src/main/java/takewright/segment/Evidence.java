package takewright.segment;

import takewright.segment.room.Columns;
import takewright.segment.room.Room;

/**
 * Whether a sound is there, compared with the room: one rule for starting, staying, tracing back
 * and fading, each over its own length of time.
 */
final class Evidence {
  /** Length of the mean that staying is decided by, in columns (0.2 s at a 21 ms hop). */
  static final int STAY_COLUMNS = 9;

  /**
   * A sound that comes up once more must do so by this much over the threshold for staying, in dB:
   * within a second mere noise now and then passes the threshold itself.
   */
  private static final double AGAIN = Math.pow(10, 0.15);

  /**
   * What starts is louder than before by this, as a power ratio (7 dB): by the least rise over the
   * room that starts a sound, 9 dB, but for what the room does itself.
   */
  private static final double ANEW = 5;

  /** The last columns of a sound that show in which bands it sank into the room. */
  private static final int LAST_COLUMNS = 3;

  private final Columns columns;
  private final Room room;

  Evidence(Columns columns, Room room) {
    this.columns = columns;
    this.room = room;
  }

  /**
   * Whether a sound starts at a column: over two columns, since in one a narrow band of mere noise
   * comes near the threshold once in an hour.
   */
  boolean starts(long column) {
    for (int b = 0; b < columns.bandCount(); b++) {
      if (columns.mean(b, column, column + 1) > room.start(b)) {
        return true;
      }
    }
    return false;
  }

  /** How far a column's loudest band lies over what starts a sound, as a power ratio. */
  double overStart(long column) {
    double most = 0;
    for (int b = 0; b < columns.bandCount(); b++) {
      most = Math.max(most, columns.mean(b, column, column + 1) / room.start(b));
    }
    return most;
  }

  /**
   * Whether another sound starts at a column behind the last that shows one: it is also far louder
   * there than it was in between. What a recording hisses goes on behind its note.
   */
  boolean startsBehind(long last, long column) {
    for (int b = 0; b < columns.bandCount(); b++) {
      double now = columns.mean(b, column, column + 1);
      if (now > room.start(b) && now > ANEW * leastAround(b, last, column)) {
        return true;
      }
    }
    return false;
  }

  /** Least power of a band between two columns, over as many as staying is decided by. */
  private double leastAround(int band, long last, long column) {
    double least = around(band, last - STAY_COLUMNS / 2);
    for (long k = last; k < column - STAY_COLUMNS / 2; k++) {
      least = Math.min(least, around(band, k));
    }
    return least;
  }

  /**
   * Whether a sound is still there around a column.
   *
   * @param own the bands in which it was heard; null for any
   */
  boolean stays(long column, OpenRegion own) {
    return passes(column, own, 1);
  }

  /** Whether a sound that had sunk into the room is there again. */
  boolean staysClearly(long column, OpenRegion own) {
    return passes(column, own, AGAIN);
  }

  private boolean passes(long column, OpenRegion own, double margin) {
    for (int b = 0; b < columns.bandCount(); b++) {
      if ((own == null || own.owns(b)) && around(b, column) > margin * room.stay(b)) {
        return true;
      }
    }
    return false;
  }

  /**
   * Whether an open region's sound is there at a column. Where it had sunk into the room, what
   * comes up is the room itself unless it is in the bands in which the sound was heard last, or so
   * loud that it might start a sound.
   */
  boolean goesOn(long column, OpenRegion own) {
    if (!stays(column, own) && !fades(column, own)) {
      return false;
    }
    long last = own.lastColumn;
    return !hasSunk(last, column, own) || starts(column) || comesUp(column, last, own);
  }

  /** Whether no band of a sound was above the room in some column between two. */
  private boolean hasSunk(long last, long column, OpenRegion own) {
    for (long k = last + 1; k < column; k++) {
      if (!isAboveRoom(k, own)) {
        return true;
      }
    }
    return false;
  }

  private boolean isAboveRoom(long column, OpenRegion own) {
    for (int b = 0; b < columns.bandCount(); b++) {
      if (own.owns(b) && around(b, column) > room.fade(b)) {
        return true;
      }
    }
    return false;
  }

  private boolean comesUp(long column, long last, OpenRegion own) {
    for (int b = 0; b < columns.bandCount(); b++) {
      if (own.owns(b) && around(b, column) > room.stay(b) && wasHeard(b, last)) {
        return true;
      }
    }
    return false;
  }

  /** Whether a band was heard in the last columns in which the sound was. */
  private boolean wasHeard(int band, long last) {
    for (long k = last - LAST_COLUMNS + 1; k <= last; k++) {
      if (around(band, k) > room.fade(band)) {
        return true;
      }
    }
    return false;
  }

  /** Whether an open region's sound dies away around a column, and has not sunk into the room. */
  boolean fades(long column, OpenRegion own) {
    for (int b = 0; b < columns.bandCount(); b++) {
      double around = around(b, column);
      if (own.owns(b) && around > room.fade(b) && own.onlyFalls(b, around)) {
        return true;
      }
    }
    return false;
  }

  /** Mean power of a band over the columns around one. */
  double around(int band, long column) {
    return columns.mean(band, column - STAY_COLUMNS / 2, column + STAY_COLUMNS / 2);
  }

  /**
   * What a sound's bands hold around a column beyond what the room has there on average; less than
   * 0 where the room is quieter by chance.
   */
  double excess(long column, OpenRegion own) {
    double sum = 0;
    for (int b = 0; b < columns.bandCount(); b++) {
      if (own.owns(b)) {
        sum += (around(b, column) - room.power(b)) * columns.bands().bins(b);
      }
    }
    return sum;
  }
}
