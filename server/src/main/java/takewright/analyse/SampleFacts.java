package takewright.analyse;

import java.util.List;

/**
 * What is heard in one sample.
 *
 * @param pitch what is heard, or null where there is no pitch
 * @param levelLufs integrated loudness by ITU-R BS.1770-5 in LUFS; NaN for silence or less than 0.4
 *     s
 * @param peakDbtp true peak by ITU-R BS.1770-5 in dBTP; -200 for digital silence
 * @param floorDbfs level of the quietest stretch, RMS in dBFS; -200 for digital silence
 * @param flags short words on what to look at ("clipped", "silent", "no_pitch")
 */
public record SampleFacts(
    Pitch pitch, double levelLufs, double peakDbtp, double floorDbfs, List<String> flags) {
  public SampleFacts {
    flags = List.copyOf(flags);
  }
}
