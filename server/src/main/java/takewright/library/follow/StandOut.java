package takewright.library.follow;

import java.util.ArrayList;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import takewright.segment.LiveSegment.Brief;
import takewright.segment.Region;

/**
 * Tells which short notes have something laid over them: a scratch, a knock or another note.
 *
 * <p>In a note of a third of a second nothing lies before or behind such a flaw that it could be
 * compared with, and the next attempt, which would show it, has not been played. What the notes of
 * the take have beside them is all there is.
 */
final class StandOut {
  /** Longer notes tell by themselves what comes and goes in them, in seconds. */
  private static final double SHORT_S = 0.9;

  /** Fewer short notes do not quite show what they have beside them in this take. */
  private static final int MIN_BRIEF = 3;

  /**
   * So much harsher than all of them but one, in dB. Of the short notes of 168 takes that are
   * harsher than {@link #HARSH_DB}, 38, 37, 34 and 32 flawed ones come to 3, 4, 5 and 6 dB, and two
   * clean ones to each (2026-11-30).
   */
  private static final double HARSHER_DB = 4;

  /** So much harsher than any, in dB, where they are few. */
  private static final double FAR_HARSHER_DB = 12;

  /**
   * Softer than this beside the note, in dB, nobody hears it: scratches came to -23 to -9, some
   * bars to -25.
   */
  private static final double HARSH_DB = -24;

  /**
   * What does not repeat rises so far for a moment in no note but where it is knocked, in dB: short
   * strokes of a bow came to 9, knocks to 20 and more.
   */
  private static final double BURST_DB = 10;

  /** Sound rises so far once a note is over where there is a knock behind it, in dB. */
  private static final double AGAIN_DB = 20;

  /** It rises by so much further than behind all other notes but one, in dB: keys knock as well. */
  private static final double FURTHER_DB = 3;

  private final List<Double> harshDb = new ArrayList<>();

  /** The harshest of each note, by its number. */
  private final Map<Integer, Double> harshOfNote = new HashMap<>();

  private final List<Double> againDb = new ArrayList<>();
  private final int sampleRate;

  StandOut(int sampleRate) {
    this.sampleRate = sampleRate;
  }

  /** Whether a note has something beside it that those that were good so far do not have. */
  boolean isUnlikeOthers(Region note, Brief brief) {
    return note.pitch() != null
        && note.heardFrames() <= SHORT_S * sampleRate
        && (isHarsher(note.pitch().midi(), brief.harshDb())
            || brief.burstDb() > BURST_DB
            || risesAgain(brief.againDb()));
  }

  /**
   * Whether a note is far harsher than the same note was before; or else than all but one, since
   * that one may be flawed as well.
   */
  private boolean isHarsher(int midi, double db) {
    if (!(db > HARSH_DB) || harshDb.isEmpty()) {
      return false;
    }
    if (harshOfNote.containsKey(midi)) {
      return db > harshOfNote.get(midi) + HARSHER_DB;
    }
    return harshDb.size() < MIN_BRIEF
        ? db > Collections.max(harshDb) + FAR_HARSHER_DB
        : db > second(harshDb) + HARSHER_DB;
  }

  private boolean risesAgain(double db) {
    return db > AGAIN_DB && (againDb.size() < MIN_BRIEF || db > second(againDb) + FURTHER_DB);
  }

  /** The most but one. */
  private static double second(List<Double> values) {
    return values.stream().sorted().skip(values.size() - 2).findFirst().orElseThrow();
  }

  /**
   * Takes in what was measured of a note that was said to be good. The last ear may find no pitch
   * in it, too late for another word.
   */
  void add(Region note, Brief brief) {
    if (note.pitch() != null && !Double.isNaN(brief.harshDb())) {
      harshDb.add(brief.harshDb());
      harshOfNote.merge(note.pitch().midi(), brief.harshDb(), Math::max);
      againDb.add(brief.againDb());
    }
  }
}
