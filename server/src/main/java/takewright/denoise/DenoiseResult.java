package takewright.denoise;

import java.util.Set;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;

/**
 * Result of a noise reduction.
 *
 * @param audio the result, as many frames as the input; input minus result is what was removed
 * @param floorBeforeDbfs level of the room tone before, RMS in dBFS
 * @param floorAfterDbfs level of the room tone after, RMS in dBFS
 * @param humHz fundamental of the mains hum that was taken away, in hertz; 0 if there was none
 * @param humDbfs level of that hum, RMS in dBFS; minus infinity where there was none
 * @param clicksMended single clicks that were filled in, by channel
 * @param roomUncertaintyDb see {@link DenoisedAudio#roomUncertaintyDb}
 * @param flags short words on what to look at, see {@link DenoisedAudio#flags}
 */
public record DenoiseResult(
    Clip audio,
    double floorBeforeDbfs,
    double floorAfterDbfs,
    double humHz,
    double humDbfs,
    int clicksMended,
    double roomUncertaintyDb,
    Set<Flag> flags) {
  public DenoiseResult {
    flags = Flags.copyOf(flags);
  }
}
