package takewright.segment;

import takewright.dsp.Decibels;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;

/** Where a region ends: the tail is followed down into the room, and a little further. */
final class RegionEnd {
  /** What is kept behind the last sign of a sound, in seconds: room for the fade. */
  static final double TAIL_S = 0.1;

  /** How far a fading tail is followed beyond the last clear sign of the sound, in seconds. */
  private static final double FADES_S = 1;

  /** Over so long, in seconds, the fall of a tail is read. */
  private static final double READ_S = 0.4;

  /** A tail that falls no faster than this, in dB per second, is followed as if it did. */
  private static final double SLOWEST_DB_PER_S = 6;

  /** Under the room by so much, as a power ratio, a tail is not heard any more: 12 dB. */
  private static final double BELOW_ROOM = 0.063;

  /**
   * A tail goes on where its bands hold this share of the room's power more than the room does, for
   * a while: -6 dB. A string that the bow has left rings on more slowly than it fell before. Of 321
   * whole tails of bows in 22 takes 52 hold so much at their end, of twelve that were cut eleven
   * (2026-11-30).
   */
  private static final double RINGS_ON = 0.25;

  /** For so long, in seconds, which the room does by chance as well where trains pass. */
  private static final double RINGS_ON_S = 0.2;

  /**
   * It is followed for so long in all, in seconds. Where a dishwasher takes its place, one of 122
   * takes more has ends 1.5 s beyond the sound at 95 %; with a whole second two have.
   */
  private static final double RINGS_ON_MOST_S = 0.75;

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
    long hidden = (long) (hiddenS(region) * columns.sampleRate());
    long quiet = Math.max(region.lastColumn, lastQuiet(region)) * columns.hop();
    long end = Math.max(heard + tail, Math.min(region.lastColumn * columns.hop() + hidden, quiet));
    return Math.min(end, Math.min(limit, columns.frames()));
  }

  /** Frame up to which a region is heard in the room. */
  long heard(OpenRegion region) {
    long last = isFollowed ? fades(region) : region.lastColumn;
    return (last + Evidence.STAY_COLUMNS / 2 + 1) * columns.hop();
  }

  /**
   * The last column of a sound that fades into the room: hardly above it in any one band, but a
   * little in all of them together, or sinking below it and coming up once more.
   */
  private long fades(OpenRegion region) {
    long last = region.lastColumn;
    long until = Math.min(last + columns.columnsOf(FADES_S), lastQuiet(region));
    long end = last;
    for (long column = last + 1; column <= until; column++) {
      boolean together = end == column - 1 && evidence.isAboveRoomTogether(column);
      boolean goesOn = end == column - 1 && evidence.staysClearly(column, region);
      if (together || goesOn || evidence.comesUpAgain(column, end, region)) {
        end = column;
      }
    }
    return end;
  }

  /**
   * The last column that may be this sound's tail: a sound that follows is not, nor is the pause
   * before it.
   */
  private long lastQuiet(OpenRegion region) {
    long last = region.lastColumn;
    long until = Math.min(columns.end() - 1, last + columns.columnsOf(FADES_S));
    for (long column = last + 1; column <= until + Evidence.STAY_COLUMNS; column++) {
      if (evidence.starts(column)) {
        until = Math.min(until, column - columns.columnsOf(BEFORE_S));
      }
    }
    return until;
  }

  /**
   * How long the sound goes on below what the room lets see, in seconds: as a tail that falls as
   * fast as it did before, until it lies under the room's whole level.
   */
  private double hiddenS(OpenRegion region) {
    double now = evidence.power(region.lastColumn, region);
    double before = now;
    long from = region.lastColumn;
    long first = Math.max(region.firstColumn, from - columns.columnsOf(READ_S));
    for (long column = region.lastColumn - 1; column >= first; column--) {
      double power = evidence.power(column, region);
      if (power > before) {
        before = power;
        from = column;
      }
    }
    double above = Decibels.fromPower(now / (BELOW_ROOM * room.total()) + 1e-9);
    double seconds = (double) (region.lastColumn - from) * columns.hop() / columns.sampleRate();
    double fallen = Decibels.fromPower(before / now);
    if (above <= 0 || seconds <= 0) {
      return 0;
    }
    double slope = Math.max(SLOWEST_DB_PER_S, fallen / seconds);
    double hidden = Math.min(FADES_S, above / slope);
    while (hidden < RINGS_ON_MOST_S && ringsOn(region, hidden)) {
      hidden = Math.min(RINGS_ON_MOST_S, hidden + RINGS_ON_S);
    }
    return hidden;
  }

  /** Whether an open region's sound is still there, so many seconds after it was last heard. */
  private boolean ringsOn(OpenRegion region, double seconds) {
    long from = region.lastColumn + columns.columnsOf(seconds);
    long until = from + columns.columnsOf(RINGS_ON_S);
    double sum = 0;
    for (long column = from; column < until; column++) {
      sum += evidence.power(column, region);
    }
    return until < columns.end() && sum > RINGS_ON * room.total() * (until - from);
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
