package takewright.analyse;

import java.util.List;

/**
 * What is heard in one sample.
 *
 * @param pitch what is heard, or null where there is no pitch
 * @param levelLufs integrated loudness by ITU-R BS.1770-5 in LUFS; a sample shorter than 0.4 s is
 *     measured as if silence followed up to 0.4 s; NaN where nothing lies above -70 LUFS
 * @param peakDbtp true peak by ITU-R BS.1770-5 in dBTP; -200 for digital silence
 * @param floorDbfs level of the quietest 400 ms (100 ms of a sample shorter than 2 s), RMS in dBFS,
 *     digital silence passed over; -200 where there is nothing else
 * @param flags short words on what to look at ("clipped", "silent", "no_pitch")
 */
public record SampleFacts(
    Pitch pitch, double levelLufs, double peakDbtp, double floorDbfs, List<String> flags) {
  public SampleFacts {
    flags = List.copyOf(flags);
  }
}
