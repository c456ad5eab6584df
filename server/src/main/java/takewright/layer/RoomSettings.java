package takewright.layer;

import takewright.audio.Clip;
import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * A room to hear a sample in.
 *
 * @param impulse its impulse response, of any length and rate: one channel for all channels of the
 *     sample alike, as many as the sample has, two for a sample of one, or four, in the order left
 *     to left, left to right, right to left, right to right (true stereo; common practice)
 * @param wetDb level of the room against the sample itself, in dB, -60 to 12: what a noise that is
 *     even over frequency would measure
 * @param preDelayMs how much later the room sets in, in milliseconds, 0 to 500
 * @param direct whether the sample itself is in the result beside the room
 */
public record RoomSettings(Clip impulse, double wetDb, double preDelayMs, boolean direct) {
  /** Level of a room for which none is given, in dB. */
  public static final double DEFAULT_WET_DB = -6;

  public RoomSettings {
    if (!(wetDb >= -60 && wetDb <= 12)) {
      throw new SettingException(Problem.outOfRange("wet_db", wetDb, -60, 12, "dB"));
    }
    if (!(preDelayMs >= 0 && preDelayMs <= 500)) {
      throw new SettingException(Problem.outOfRange("pre_delay_ms", preDelayMs, 0, 500, "ms"));
    }
    boolean sounds = false;
    for (int c = 0; c < impulse.channels() && !sounds; c++) {
      for (float x : impulse.channel(c)) {
        sounds |= x != 0;
      }
    }
    if (!sounds) {
      throw new SettingException(
          "impulse_file",
          "holds an impulse response that is silent or empty",
          "choose another file");
    }
  }

  /** The room at its usual level. */
  public static RoomSettings of(Clip impulse) {
    return new RoomSettings(impulse, DEFAULT_WET_DB, 0, true);
  }
}
