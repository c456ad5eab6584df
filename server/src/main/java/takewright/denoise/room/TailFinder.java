package takewright.denoise.room;

import java.util.Arrays;
import java.util.List;

/**
 * Finds pauses that are the long tail of a note, and no room.
 *
 * <p>What a note leaves behind may be as smooth and as steady as a room for a second or more: the
 * breath of a pipe, a low string that rings out, the noise of another recording that ends with the
 * note. Taken for the room it is taken away from all of the note before. What tells it is the
 * order: the room leaps up under a note and down again before the next sound, to where it was.
 *
 * <p>So does a single band, as that of the lowest partial of a string, also where the room itself
 * falls under the note: it is louder than both before the note and at the end of the quiet after
 * it.
 */
final class TailFinder {
  /**
   * From the tail to the next pause no frame rises further above the tail than this, in dB: frames
   * of a room whose power lies in a few low bins differ by as much.
   */
  private static final double NOTHING_DB = 3;

  /** The note before it has been louder than its tail by this, in dB, as notes are in a room. */
  private static final double NOTE_DB = 10;

  /**
   * A band of a tail stands this much above the room before and behind it, in dB and in standard
   * deviations: chance lifts one level in 30,000 by as many.
   */
  private static final double LEAST_DB = 3;

  private static final double STANDS = 4;

  private final FrameLevels frames;
  private final List<int[]> knots;
  private final RoomWalk walk;

  /**
   * @param knots the first frame of each, and how many it has
   * @param walk of the room through them
   */
  TailFinder(FrameLevels frames, List<int[]> knots, RoomWalk walk) {
    this.frames = frames;
    this.knots = knots;
    this.walk = walk;
  }

  /** Takes the tails out of the pauses. */
  void takeOut(boolean[] pause) {
    for (int first = 1; first + 1 < knots.size(); first++) {
      int last = walk.leap()[first - 1] > 0 ? lastOfTail(first) : -1;
      if (last >= 0) {
        Arrays.fill(pause, start(first), end(last), false);
        first = last;
      } else {
        takeOutBands(first, pause);
      }
    }
  }

  /** Takes out the knots from one on in which a band of the note before still rings. */
  private void takeOutBands(int first, boolean[] pause) {
    if (loudest(end(first - 1), start(first)) < loudest(start(first), end(first)) + NOTE_DB) {
      return;
    }
    int quiet = first;
    while (quiet + 1 < knots.size() && isQuietAfter(quiet)) {
      quiet++;
    }
    for (int knot = first; knot < quiet && rings(knot, first - 1, quiet); knot++) {
      Arrays.fill(pause, start(knot), end(knot), false);
    }
  }

  /** Whether nothing sounds between a knot and the next. */
  private boolean isQuietAfter(int knot) {
    float level = loudest(start(knot), end(knot));
    return loudest(end(knot), start(knot + 1)) < level + NOTHING_DB;
  }

  /** Whether a band is louder than in the knot before the note and in a later one. */
  private boolean rings(int knot, int before, int later) {
    for (int b = 0; b < walk.drift().length; b++) {
      if (standsAbove(knot, before, b) && standsAbove(knot, later, b)) {
        return true;
      }
    }
    return false;
  }

  private boolean standsAbove(int knot, int other, int band) {
    double usual =
        walk.drift()[band] * Math.abs(walk.at()[knot] - walk.at()[other])
            + walk.noise()[knot][band]
            + walk.noise()[other][band];
    double above = walk.level()[knot][band] - walk.level()[other][band];
    return above > LEAST_DB + STANDS * Math.sqrt(usual);
  }

  /** The last knot of the tail that begins with one; -1 if that is none. */
  private int lastOfTail(int first) {
    float tail = loudest(start(first), end(first));
    if (loudest(end(first - 1), start(first)) < tail + NOTE_DB) {
      return -1;
    }
    for (int last = first; last + 1 < knots.size(); last++) {
      tail = Math.max(tail, loudest(start(last), end(last)));
      boolean isQuiet = loudest(end(last), start(last + 1)) < tail + NOTHING_DB;
      if (!isQuiet || walk.leap()[last] > 0) {
        return -1;
      }
      if (walk.leap()[last] < 0) {
        return walk.leapBetween(first - 1, last + 1) == 0 ? last : -1;
      }
    }
    return -1;
  }

  private int start(int knot) {
    return knots.get(knot)[0];
  }

  private int end(int knot) {
    return start(knot) + knots.get(knot)[1];
  }

  /** The highest level of frames, RMS in dBFS. */
  private float loudest(int from, int to) {
    float loudest = Float.NEGATIVE_INFINITY;
    for (int i = from; i < to; i++) {
      loudest = Math.max(loudest, frames.dbfs(i));
    }
    return loudest;
  }
}
