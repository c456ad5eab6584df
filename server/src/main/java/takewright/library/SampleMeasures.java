package takewright.library;

import java.util.List;

/**
 * What was measured while a sample was made. A number that there is none of is null.
 *
 * @param centsBefore how far the take was off the cell's note, in cents
 * @param centsAfter how far the sample is off it, in cents
 * @param levelLufs loudness of the sample in LUFS
 * @param peakDbtp true peak of the sample in dBTP
 * @param floorBeforeDbfs room tone before the noise reduction, in dBFS
 * @param floorAfterDbfs room tone after it, in dBFS
 * @param gainDb gain that was applied, in dB
 * @param flags short words on what to look at
 */
record SampleMeasures(
    Double centsBefore,
    Double centsAfter,
    Double levelLufs,
    Double peakDbtp,
    Double floorBeforeDbfs,
    Double floorAfterDbfs,
    Double gainDb,
    List<String> flags) {}
