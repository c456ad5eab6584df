package takewright.library.folder;

import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;

/**
 * What was measured while a sample was made. A number that there is none of is null.
 *
 * @param centsBefore how far the take was off the cell's note, in cents
 * @param centsAfter how far the sample is off it, in cents
 * @param levelLufs loudness of the sample in LUFS
 * @param peakDbtp true peak of the sample in dBTP
 * @param floorBeforeDbfs room tone before the noise reduction, in dBFS
 * @param floorAfterDbfs room tone after it, in dBFS
 * @param gainDb gain in dB: applied, or to be applied where the sheet keeps it beside the file
 * @param loopStart first frame of the loop
 * @param loopEnd last frame of the loop
 * @param loopFade frames over which it is faded
 * @param releaseMs release time in milliseconds
 * @param loopReason why there is no loop, as one word; empty if there is or none was looked for
 * @param flags what to look at
 */
public record SampleMeasures(
    Double centsBefore,
    Double centsAfter,
    Double levelLufs,
    Double peakDbtp,
    Double floorBeforeDbfs,
    Double floorAfterDbfs,
    Double gainDb,
    Long loopStart,
    Long loopEnd,
    Integer loopFade,
    Double releaseMs,
    String loopReason,
    Set<Flag> flags) {
  public SampleMeasures {
    flags = Flags.copyOf(flags);
  }

  /** The same with other cents before and flags. */
  public SampleMeasures of(Double otherCentsBefore, Set<Flag> otherFlags) {
    return new SampleMeasures(
        otherCentsBefore,
        centsAfter,
        levelLufs,
        peakDbtp,
        floorBeforeDbfs,
        floorAfterDbfs,
        gainDb,
        loopStart,
        loopEnd,
        loopFade,
        releaseMs,
        loopReason,
        otherFlags);
  }
}
