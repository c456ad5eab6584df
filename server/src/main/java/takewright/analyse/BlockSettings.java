package takewright.analyse;

import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * Settings of block-by-block analysis.
 *
 * @param blockMs length of a block in milliseconds, 10 to 1000
 * @param unpitched whether no pitch is looked for
 * @param tuningHz frequency of A4 in hertz, 392 to 466
 */
public record BlockSettings(double blockMs, boolean unpitched, double tuningHz) {
  public BlockSettings {
    if (!(blockMs >= 10 && blockMs <= 1000)) {
      throw new SettingException(Problem.outOfRange("block_ms", blockMs, 10, 1000, "ms"));
    }
    if (!(tuningHz >= 392 && tuningHz <= 466)) {
      throw new SettingException(Problem.outOfRange("tuning_hz", tuningHz, 392, 466, "Hz"));
    }
  }
}
