package takewright.denoise;

import java.util.List;
import takewright.audio.Clip;

/**
 * What a noise reduction made.
 *
 * @param audio the result, as many frames as the input; input - result is the residue
 * @param floorBeforeDbfs level of the room tone before, RMS in dBFS
 * @param floorAfterDbfs level of the room tone after, RMS in dBFS
 * @param flags short words on what to look at ("no_room_tone")
 */
public record DenoiseResult(
    Clip audio, double floorBeforeDbfs, double floorAfterDbfs, List<String> flags) {
  public DenoiseResult {
    flags = List.copyOf(flags);
  }
}
