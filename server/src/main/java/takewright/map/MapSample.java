package takewright.map;

/**
 * What the key map needs to know about a finished sample.
 *
 * @param file its name, by which the map speaks of it
 * @param articulation for instance "sustain"
 * @param layer for instance "close"
 * @param midi root note as a MIDI note number, 0 to 127; null for a sample that has a key to itself
 * @param dynamic for instance "mf"; may be empty
 * @param rr round robin, from 1
 * @param levelLufs its loudness in LUFS; null if it is not known
 * @param gainDb gain at which it is to be played, in dB
 * @param loopStart first frame of its loop; null for none
 * @param loopEnd last frame of its loop, played too; null for none
 * @param releaseMs time to die away once the key is let go, in milliseconds; null if it is not
 *     known
 */
public record MapSample(
    String file,
    String articulation,
    String layer,
    Integer midi,
    String dynamic,
    int rr,
    Double levelLufs,
    double gainDb,
    Long loopStart,
    Long loopEnd,
    Double releaseMs) {}
