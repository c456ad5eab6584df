package takewright.map;

import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * What a DLS instrument does beyond keys and velocities.
 *
 * @param modWheel what the modulation wheel does; null: nothing
 * @param reverbPercent how much of it is sent to the player's reverberation, 0 to 100; whatever the
 *     channel sends (controller 91) is added, as the standard has it
 * @param roundRobins what becomes of round robins
 */
public record DlsSettings(ModWheel modWheel, double reverbPercent, RoundRobins roundRobins) {
  /** Dry: what room there should be is in the library's layers. */
  public static final DlsSettings DEFAULTS =
      new DlsSettings(ModWheel.DEFAULT, 0, RoundRobins.FIRST);

  public DlsSettings {
    if (!(reverbPercent >= 0 && reverbPercent <= 100)) {
      throw new SettingException(Problem.outOfRange("reverb_percent", reverbPercent, 0, 100, "%"));
    }
  }
}
