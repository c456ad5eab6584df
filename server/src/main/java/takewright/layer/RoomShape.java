package takewright.layer;

import takewright.diagnosis.SettingException;

/**
 * A room with six flat walls.
 *
 * @param lengthM from 2 to 100 metres
 * @param widthM from 2 to 100 metres
 * @param heightM from 2 to 100 metres
 * @param absorption share of the energy that each wall swallows, 0.02 to 0.9; a stone church has
 *     about 0.05, a concert hall 0.2, a living room 0.35 (common practice)
 */
public record RoomShape(double lengthM, double widthM, double heightM, double absorption) {
  /** A chamber-music room of 0.9 s. */
  public static final RoomShape DEFAULTS = new RoomShape(12, 9, 5, 0.2);

  /** Speed of sound in dry air at 20 degrees Celsius, in metres a second. */
  static final double SOUND_M_S = 343;

  /** Longest decay that is made, in seconds: beyond it a tail is all there is. */
  private static final double MAX_DECAY_S = 20;

  public RoomShape {
    SettingException.requireRange("length_m", lengthM, 2, 100, "m");
    SettingException.requireRange("width_m", widthM, 2, 100, "m");
    SettingException.requireRange("height_m", heightM, 2, 100, "m");
    SettingException.requireRange("absorption", absorption, 0.02, 0.9, "");
    double decay = decay(lengthM, widthM, heightM, absorption);
    if (decay > MAX_DECAY_S) {
      throw new SettingException(
          "absorption",
          "makes the room ring for " + Math.round(decay) + " s, but at most 20 s are allowed",
          "make the absorption larger or the room smaller");
    }
  }

  double volume() {
    return lengthM * widthM * heightM;
  }

  /**
   * Time to die away by 60 dB, in seconds, by C. F. Eyring, "Reverberation time in 'dead' rooms",
   * J. Acoust. Soc. Am. 1, 1930.
   */
  public double decayS() {
    return decay(lengthM, widthM, heightM, absorption);
  }

  private static double decay(double l, double w, double h, double absorption) {
    double surface = 2 * (l * w + l * h + w * h);
    return 24 * Math.log(10) / SOUND_M_S * l * w * h / (-surface * Math.log(1 - absorption));
  }
}
