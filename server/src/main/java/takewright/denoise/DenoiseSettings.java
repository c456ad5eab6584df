package takewright.denoise;

import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * Settings of a noise reduction.
 *
 * @param amountDb how far the floor is taken down, in dB, 0 (nothing is done) to 60
 * @param profile what the noise is like, or null: it is learnt from the quietest stretches of the
 *     audio itself
 */
public record DenoiseSettings(double amountDb, NoiseProfile profile) {
  /** Defaults for most takes. */
  public static final DenoiseSettings DEFAULTS = new DenoiseSettings(24, null);

  public DenoiseSettings {
    if (!(amountDb >= 0 && amountDb <= 60)) {
      throw new SettingException(Problem.outOfRange("amount_db", amountDb, 0, 60, "dB"));
    }
  }
}
