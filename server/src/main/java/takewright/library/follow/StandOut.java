package takewright.library.follow;

import java.util.ArrayList;
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
  /** Fewer short notes do not quite show what they have beside them in this take. */
  private static final int MIN_BRIEF = 3;

  /**
   * So much harsher than all of them but one, in dB. Of the short notes of 168 takes that are
   * harsher than {@link #HARSH_DB}, 38, 37, 34 and 32 flawed ones come to 3, 4, 5 and 6 dB, and two
   * clean ones to each (2026-11-30).
   */
  private static final double HARSHER_DB = 4;

  /**
   * Softer than this beside the note, in dB, nobody hears it: scratches came to -23 to -9, some
   * bars to -25.
   */
  private static final double HARSH_DB = -24;

  /**
   * What does not repeat rises so far for a moment in few notes but where something is laid over
   * them, in dB: short strokes of a bow came to 9, a muffled reed to 13, knocks to 12 and more.
   */
  private static final double BURST_DB = 10;

  /**
   * It rises by so much further than in the same note before, or in all others but one, where it is
   * knocked, in dB. The reed's bursts differed by 2 from one attempt to the next. In nine takes in
   * which short notes burst, 308 of 338 first words were right without this, and 323 are
   * (2026-12-01).
   */
  private static final double BURSTS_FURTHER_DB = 4;

  /** Sound rises so far once a note is over where there is a knock behind it, in dB. */
  private static final double AGAIN_DB = 20;

  /** It rises by so much further than behind all other notes but one, in dB: keys knock as well. */
  private static final double FURTHER_DB = 3;

  private final List<Double> harshDb = new ArrayList<>();

  /** The harshest of each note, by its number. */
  private final Map<Integer, Double> harshOfNote = new HashMap<>();

  private final List<Double> againDb = new ArrayList<>();
  private final List<Double> burstDb = new ArrayList<>();

  /** The weakest burst in any attempt at a note, by its number. */
  private final Map<Integer, Double> burstOfNote = new HashMap<>();

  /** Whether a note has something beside it that those that were good so far do not have. */
  boolean isUnlikeOthers(Region note, Brief brief) {
    return note.pitch() != null
        && (isHarsher(note.pitch().midi(), brief.harshDb())
            || isKnocked(note.pitch().midi(), brief.burstDb())
            || risesAgain(brief.againDb()));
  }

  /**
   * Whether a note is far harsher than the same note was before; or else than all but one, since
   * that one may be flawed as well.
   */
  private boolean isHarsher(int midi, double db) {
    if (!(db > HARSH_DB)) {
      return false;
    }
    if (harshOfNote.containsKey(midi)) {
      return db > harshOfNote.get(midi) + HARSHER_DB;
    }
    return harshDb.size() >= MIN_BRIEF && db > second(harshDb) + HARSHER_DB;
  }

  /** A burst that was in the note each time before, whatever was said of it, is its own. */
  private boolean isKnocked(int midi, double db) {
    double before = burstOfNote.getOrDefault(midi, 0.0);
    double others = burstDb.size() < MIN_BRIEF ? 0 : second(burstDb);
    return db > BURST_DB && db > Math.max(before, others) + BURSTS_FURTHER_DB;
  }

  private boolean risesAgain(double db) {
    return db > AGAIN_DB && (againDb.size() < MIN_BRIEF || db > second(againDb) + FURTHER_DB);
  }

  /** The most but one. */
  private static double second(List<Double> values) {
    return values.stream().sorted().skip(values.size() - 2).findFirst().orElseThrow();
  }

  /**
   * Takes in what was measured of a note. The last ear may find no pitch in it, too late for
   * another word.
   *
   * @param isGood whether it was said to be good. How harsh others are shows nothing; a burst of
   *     theirs does, since nobody knocks in the same place twice
   */
  void add(Region note, Brief brief, boolean isGood) {
    if (note.pitch() == null || Double.isNaN(brief.harshDb())) {
      return;
    }
    burstDb.add(brief.burstDb());
    burstOfNote.merge(note.pitch().midi(), brief.burstDb(), Math::min);
    if (isGood) {
      harshDb.add(brief.harshDb());
      harshOfNote.merge(note.pitch().midi(), brief.harshDb(), Math::max);
      againDb.add(brief.againDb());
    }
  }
}
