package takewright.retune;

import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * Settings of a retune.
 *
 * @param cents how far to move the pitch, in cents, -1200 to 1200; 0 leaves it
 * @param outputSampleRate sample rate of the result in hertz, 8000 to 192000; 0 for the input's
 * @param drift what is made level on the way; {@link Drift#NONE} for nothing
 */
public record RetuneSettings(double cents, int outputSampleRate, Drift drift) {
  /** Moves the pitch by a constant amount. */
  public RetuneSettings(double cents, int outputSampleRate) {
    this(cents, outputSampleRate, Drift.NONE);
  }

  public RetuneSettings {
    if (!(cents >= -1200 && cents <= 1200)) {
      throw new SettingException(Problem.outOfRange("cents", cents, -1200, 1200, "cents"));
    }
    if (outputSampleRate != 0 && (outputSampleRate < 8000 || outputSampleRate > 192_000)) {
      throw new SettingException(
          Problem.outOfRange("output_sample_rate_hz", outputSampleRate, 8000, 192_000, "Hz"));
    }
  }
}
