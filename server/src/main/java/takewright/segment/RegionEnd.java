package takewright.segment;

import takewright.segment.room.Columns;
import takewright.segment.room.RingingPartial;
import takewright.segment.room.Room;

/** Where a region ends: the tail is followed down into the room, and a little further. */
final class RegionEnd {
  /** What is kept behind the last sign of a sound, in seconds: room for the fade. */
  static final double TAIL_S = 0.1;

  /** How far behind its last sign a sound may go on, in seconds. */
  private static final double FADES_S = 1;

  /**
   * A tail goes on where its bands hold this share of the room's power more than the room does, for
   * a while: -7 dB. A string that the bow has left thuds, or rings on more slowly than it fell.
   */
  private static final double RINGS_ON = 0.2;

  /** For so long, in seconds, which the room does by chance as well where trains pass. */
  private static final double RINGS_ON_S = 0.2;

  /** How far before a sound that starts the pause before it may lie, in seconds. */
  private static final double BEFORE_S = 0.15;

  /** A ring that has sunk into the room comes up again within this, in seconds. */
  private static final double AGAIN_S = 1;

  /** A hit has come to its full level by then, in seconds. */
  private static final double FULL_S = 0.1;

  /** And lies so far below its hit, as a power ratio: 20 dB. */
  private static final double SWELL = 0.01;

  private final Columns columns;
  private final Room room;
  private final Evidence evidence;
  private final RingingPartial ringing;
  private final boolean isFollowed;

  /**
   * @param isFollowed whether a tail is followed into the room; not where a person wants regions to
   *     end well above it
   */
  RegionEnd(Columns columns, Room room, Evidence evidence, boolean isFollowed) {
    this.columns = columns;
    this.room = room;
    this.evidence = evidence;
    this.isFollowed = isFollowed;
    ringing = new RingingPartial(columns, room);
  }

  /**
   * First frame after a region.
   *
   * @param heard frame up to which it is heard, of {@link #heard}
   * @param limit frame that it may not pass
   */
  long of(OpenRegion region, long heard, long limit) {
    long tail = (long) (TAIL_S * columns.sampleRate());
    if (!isFollowed) {
      return Math.min(heard + tail, Math.min(limit, columns.frames()));
    }
    long seen = seen(region, limit);
    long last = lastHeard(region, seen);
    long quiet = lastQuiet(region);
    long fades = Math.max(region.fading.lastsUntil(seen, room), ringsOn(region, last));
    long end = Math.max(heard + tail, Math.min(quiet, fades) * columns.hop());
    end = Math.max(end, ringing.lasts(heard, Math.max(region.lastColumn, quiet) * columns.hop()));
    return Math.min(end, Math.min(limit, columns.frames()));
  }

  /**
   * Frame up to which a region is heard in the room.
   *
   * @param limit frame that it may not pass
   */
  long heard(OpenRegion region, long limit) {
    long seen = seen(region, limit);
    long last = isFollowed ? lastHeard(region, seen) : region.lastColumn;
    if (last == seen && seen < region.lastColumn) {
      // It is heard up to where the next one begins.
      return limit;
    }
    return Math.min(limit, (last + Evidence.STAY_COLUMNS / 2 + 1) * columns.hop());
  }

  /** The last column by which a region is known and in which nothing behind its limit is heard. */
  private long seen(OpenRegion region, long limit) {
    return Math.min(region.lastColumn, limit / columns.hop() - Evidence.STAY_COLUMNS / 2 - 1);
  }

  private static long lastHeard(OpenRegion region, long seen) {
    return Math.min(region.lastColumn, region.fading.lastHeard(seen));
  }

  /** The column up to which a region's sound is still there behind the last that shows it. */
  private long ringsOn(OpenRegion region, long last) {
    long step = columns.columnsOf(RINGS_ON_S);
    if (last - Evidence.STAY_COLUMNS < columns.first() || last + step >= columns.end()) {
      // What has kept it open for so long is not its tail.
      return last;
    }
    double sum = 0;
    for (long column = last + 1; column <= last + step; column++) {
      sum += evidence.excess(column, region);
    }
    long most = Math.min(last + columns.columnsOf(FADES_S), columns.end() - 1 - step);
    long end = last;
    while (end < most && sum > RINGS_ON * room.total() * step) {
      end++;
      sum += evidence.excess(end + step, region) - evidence.excess(end, region);
    }
    return end > last ? end + columns.columnsOf(TAIL_S) : last;
  }

  /**
   * The last column that may be this sound's tail: a sound that follows is not, nor is the pause
   * before it.
   */
  private long lastQuiet(OpenRegion region) {
    long last = region.lastColumn;
    long until = Math.min(columns.end() - 1, last + columns.columnsOf(FADES_S));
    for (long column = last + 1; column <= until + Evidence.STAY_COLUMNS; column++) {
      if (evidence.startsBehind(last, column)) {
        until = Math.min(until, column - columns.columnsOf(BEFORE_S));
      }
    }
    return until;
  }

  /**
   * Whether a hit's ring, which had sunk into the room, is about to swell once more from a column
   * on: softer by far than the hit, so that it is no other.
   */
  boolean swellsAgain(OpenRegion open, long from) {
    long until = Math.min(columns.end() - 2, open.lastColumn + columns.columnsOf(AGAIN_S));
    for (long k = from; k < until; k++) {
      if (evidence.starts(k) || evidence.staysClearly(k, open)) {
        // The first columns that show a hit hold only its beginning.
        return columns.max(k, Math.min(columns.end() - 1, k + columns.columnsOf(FULL_S)))
            < SWELL * open.mostPower();
      }
    }
    return false;
  }
}
