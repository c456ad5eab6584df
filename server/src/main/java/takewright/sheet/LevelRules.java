package takewright.sheet;

import takewright.level.LevelSettings;

/**
 * What is done about the levels of a library.
 *
 * @param gain where the gains go
 * @param maxDb a sample is drawn by at most this, in dB, 0 to 24
 * @param strength share of the way to the even level that a sample is moved, 0 to 1
 */
public record LevelRules(GainPlace gain, double maxDb, double strength) {
  /** Where a sample's gain goes. */
  public enum GainPlace {
    /** Into its audio. */
    FILE,
    /** Only beside it: the index and the file's inst chunk. */
    METADATA,
    /** Nowhere: levels stay as played. */
    OFF
  }

  /** Written into the files. */
  public static final LevelRules DEFAULTS =
      new LevelRules(
          GainPlace.FILE, LevelSettings.DEFAULTS.maxDb(), LevelSettings.DEFAULTS.strength());
}
