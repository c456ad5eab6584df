package takewright.denoise;

import java.util.List;
import takewright.audio.Clip;

/** The noise of a room with nobody playing, as power over frequency. */
public final class NoiseProfile {
  private NoiseProfile() {}

  /**
   * Learns a profile from stretches of room tone.
   *
   * @param roomTone stretches of one take, all at one sample rate and with the same channels
   */
  public static NoiseProfile of(List<Clip> roomTone) {
    throw new UnsupportedOperationException("not yet");
  }
}
