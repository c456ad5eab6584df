package takewright.analyse;

/**
 * Settings of what is told of audio while it arrives.
 *
 * @param blockMs length of a block in milliseconds, 10 to 1000
 * @param unpitched whether no pitch is looked for
 * @param tuningHz frequency of A4 in hertz, 392 to 466
 */
public record BlockSettings(double blockMs, boolean unpitched, double tuningHz) {
  public BlockSettings {
    if (!(blockMs >= 10 && blockMs <= 1000)) {
      throw new IllegalArgumentException("block_ms must be 10 to 1000, not " + blockMs);
    }
    if (!(tuningHz >= 392 && tuningHz <= 466)) {
      throw new IllegalArgumentException("tuning_hz must be 392 to 466, not " + tuningHz);
    }
  }
}
