package takewright.library.folder;

import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.pitch.Kind;
import takewright.sheet.CellStatus;

/**
 * One row of an index: a region, or a cell that no region fills. What is not known is null.
 *
 * @param file the sample's file relative to the index; null if none was written
 * @param articulation for instance "sustain"
 * @param kind how the region was treated
 * @param layer for instance "close"
 * @param note name of the root note in the sheet's spelling
 * @param midi root note as a MIDI note number, 0 to 127
 * @param centsBefore how far the region sounds above that note, in cents
 * @param centsAfter the same of the sample as written
 * @param dynamic for instance "mf"
 * @param rr round robin, from 1
 * @param take the take, as the sheet names it
 * @param startS first frame of the region in the take, in seconds
 * @param onsetS its onset in the take, in seconds
 * @param endS its end in the take, in seconds
 * @param levelLufs loudness of the sample, in LUFS
 * @param peakDbtp true peak of the sample, in dBTP
 * @param floorBeforeDbfs noise floor before cleaning, in dBFS
 * @param floorAfterDbfs noise floor after cleaning, in dBFS
 * @param gainDb how far its level was moved, in dB
 * @param loopStart first frame of the loop in the sample
 * @param loopEnd last frame of the loop in the sample, played too
 * @param releaseMs release time, in milliseconds
 * @param status what became of it
 * @param flags why it was left out, or what a person should look at
 * @param loopReason why there is no loop, as one word; empty if there is one or none was looked for
 * @param levelCurveLufs what the sample's level was drawn to: the curve fitted to its dynamic over
 *     the keys, in LUFS
 */
public record IndexRow(
    String file,
    String articulation,
    Kind kind,
    String layer,
    String note,
    Integer midi,
    Double centsBefore,
    Double centsAfter,
    String dynamic,
    Integer rr,
    String take,
    Double startS,
    Double onsetS,
    Double endS,
    Double levelLufs,
    Double peakDbtp,
    Double floorBeforeDbfs,
    Double floorAfterDbfs,
    Double gainDb,
    Long loopStart,
    Long loopEnd,
    Double releaseMs,
    CellStatus status,
    Set<Flag> flags,
    String loopReason,
    Double levelCurveLufs) {
  public IndexRow {
    flags = Flags.copyOf(flags);
    loopReason = loopReason == null ? "" : loopReason;
  }
}
