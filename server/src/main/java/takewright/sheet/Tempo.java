package takewright.sheet;

/**
 * The beat to which a take was played.
 *
 * @param bpm beats per minute, 10 to 400
 * @param beatsPerBar 1 to 32
 * @param bars length of each sample in bars, 1 to 1000
 */
public record Tempo(double bpm, int beatsPerBar, int bars) {
  /** Length of each sample in seconds. */
  double lengthS() {
    return bars * beatsPerBar * 60 / bpm;
  }
}
