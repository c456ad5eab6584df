package takewright.library.follow;

import takewright.segment.Blemishes.UsualNoise;
import takewright.segment.Region;

/**
 * Tells which short notes have far more beside their partials than any note before them that was
 * said to be good: a scratch, a knock or another note lies over them.
 *
 * <p>In a note of a third of a second nothing lies before or behind such a flaw that it could be
 * compared with, and the next attempt, which would show it, has not been played. What the notes of
 * the take have beside them is all there is.
 */
final class StandOut {
  /** Longer notes tell by themselves what comes and goes in them, in seconds. */
  private static final double SHORT_S = 0.9;

  /** Fewer notes show no habit. */
  private static final int MIN_NOTES = 10;

  /**
   * So much more than in all of them, in dB: of 385 short notes that were called good with ten good
   * ones before them the clean ones came to 12.6; eleven flawed ones have more.
   */
  private static final double MORE_DB = 20;

  private final UsualNoise good = new UsualNoise(MIN_NOTES);
  private final int sampleRate;

  StandOut(int sampleRate) {
    this.sampleRate = sampleRate;
  }

  /** Whether a note has far more beside it than all that were good so far. */
  boolean isUnlikeOthers(Region note) {
    return note.pitch() != null
        && note.heardFrames() <= SHORT_S * sampleRate
        && good.overDb(note.blemishes()) > MORE_DB;
  }

  /** Takes in a note that was said to be good. */
  void add(Region note) {
    if (note.pitch() != null) {
      good.add(note.blemishes());
    }
  }
}
