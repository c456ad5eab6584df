package takewright.analyse;

import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * Settings of an analysis.
 *
 * @param unpitched whether the sample is known to have no pitch, so that none is looked for
 * @param tuningHz frequency of A4 in hertz, 392 to 466
 * @param detail how much is measured
 * @param expectedHz frequency of the note that it should be, in hertz, where that is known: it is
 *     measured there unless another note is plainly heard; up to 20,000; 0 if it is not known
 */
public record AnalyseSettings(
    boolean unpitched, double tuningHz, Detail detail, double expectedHz) {
  /** How much is measured; each level includes those before it. */
  public enum Detail {
    /** Pitch, loudness, true peak, noise floor: what making a sample needs. */
    ESSENTIAL,
    /** Also the level over time, timbre and faults, for a little more time. */
    CHARACTER,
    /** Also the pitch over time and simultaneous pitches, for several times the time. */
    FULL
  }

  /** The highest note that may be expected, in hertz: what is heard at all ends there. */
  private static final double MAX_HZ = 20_000;

  /** Defaults for most samples. */
  public static final AnalyseSettings DEFAULTS = new AnalyseSettings(false, 440);

  public AnalyseSettings {
    if (!(tuningHz >= 392 && tuningHz <= 466)) {
      throw new SettingException(Problem.outOfRange("tuning_hz", tuningHz, 392, 466, "Hz"));
    }
    SettingException.requireRange("expected_hz", expectedHz, 0, MAX_HZ, "Hz");
  }

  /** Settings that measure the essentials. */
  public AnalyseSettings(boolean unpitched, double tuningHz) {
    this(unpitched, tuningHz, Detail.ESSENTIAL);
  }

  /** Settings for a sample whose note is not known. */
  public AnalyseSettings(boolean unpitched, double tuningHz, Detail detail) {
    this(unpitched, tuningHz, detail, 0);
  }

  /** The same for a sample whose note is known, as a frequency in hertz. */
  public AnalyseSettings expecting(double hz) {
    return new AnalyseSettings(unpitched, tuningHz, detail, hz);
  }
}
