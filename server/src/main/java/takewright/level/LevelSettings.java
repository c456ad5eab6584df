package takewright.level;

import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * Settings of a levelling.
 *
 * @param maxDb a sample is drawn to the curve by at most this, in dB, 0 to 24
 * @param strength share of the way to the curve that a sample is drawn, 0 to 1
 * @param ceilingDbtp no true peak lies above this afterwards, in dBTP, -24 to 0
 */
public record LevelSettings(double maxDb, double strength, double ceilingDbtp) {
  /**
   * 6 dB: twice what a player's hand strays by, and less than lies between two dynamics. A ceiling
   * of -1 dBTP is what EBU R 128 allows.
   */
  public static final LevelSettings DEFAULTS = new LevelSettings(6, 1, -1);

  public LevelSettings {
    if (!(maxDb >= 0 && maxDb <= 24)) {
      throw new SettingException(Problem.outOfRange("max_db", maxDb, 0, 24, "dB"));
    }
    if (!(strength >= 0 && strength <= 1)) {
      throw new SettingException(Problem.outOfRange("strength", strength, 0, 1, ""));
    }
    if (!(ceilingDbtp >= -24 && ceilingDbtp <= 0)) {
      throw new SettingException(Problem.outOfRange("ceiling_dbtp", ceilingDbtp, -24, 0, "dB"));
    }
  }
}
