package takewright.analyse;

import java.util.List;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.pitch.Pitch;

/**
 * What is heard in one sample.
 *
 * @param pitch what is heard, or null if there is no pitch
 * @param levelLufs integrated loudness by ITU-R BS.1770-5 in LUFS; a sample shorter than 0.4 s is
 *     measured as if silence followed up to 0.4 s; NaN if nothing lies above -70 LUFS
 * @param peakDbtp true peak by ITU-R BS.1770-5 in dBTP; -200 for digital silence
 * @param floorDbfs level of the quietest 400 ms (100 ms of a sample shorter than 2 s), RMS in dBFS,
 *     digital silence skipped; -200 if there is nothing else
 * @param flags what to look at
 * @param envelope how the level goes; null if not asked for
 * @param timbre its colour and width; null if not asked for
 * @param faults what is broken in it; null if not asked for
 * @param course how the pitch goes; null if not asked for or hardly any pitch is heard
 * @param pitches all pitches that sound at once, lowest first: of one note it alone; empty if not
 *     asked for or none is heard
 */
public record SampleFacts(
    Pitch pitch,
    double levelLufs,
    double peakDbtp,
    double floorDbfs,
    Set<Flag> flags,
    Envelope envelope,
    Timbre timbre,
    Faults faults,
    Course course,
    List<Pitch> pitches) {
  public SampleFacts {
    flags = Flags.copyOf(flags);
    pitches = List.copyOf(pitches);
  }
}
