package takewright.sheet;

import takewright.denoise.DenoiseSettings;

/**
 * How a take is cut, cleaned, tuned and levelled: as the whole sheet, but for what the take says.
 *
 * @param cutting how it is cut into regions
 * @param cleaningDb how far the room's noise is lowered, in dB, 0 to 60; 0 for not at all
 * @param tuning how its notes are brought in tune
 * @param levels what is done about its levels
 */
public record TakeRules(Cutting cutting, double cleaningDb, TuningRules tuning, LevelRules levels) {
  /** As usual. */
  public static final TakeRules DEFAULTS =
      new TakeRules(
          Cutting.USUAL,
          DenoiseSettings.DEFAULTS.amountDb(),
          TuningRules.DEFAULTS,
          LevelRules.DEFAULTS);
}
