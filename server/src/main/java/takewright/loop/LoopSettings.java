package takewright.loop;

/**
 * Settings of a search for loops.
 *
 * @param frequencyHz the note's frequency in hertz, within a semitone
 * @param minLengthS shortest loop in seconds, 0.1 to 60; shorter ones sound like a machine
 * @param maxLengthS longest loop in seconds, above {@code minLengthS}
 * @param fadeS longest cross-fade in seconds, 0.01 to 1
 */
public record LoopSettings(double frequencyHz, double minLengthS, double maxLengthS, double fadeS) {
  public LoopSettings {
    if (!(frequencyHz > 0)) {
      throw new IllegalArgumentException("a frequency must be above 0, not " + frequencyHz);
    }
    if (!(minLengthS >= 0.1 && minLengthS <= 60 && maxLengthS > minLengthS)) {
      throw new IllegalArgumentException(
          "the lengths of a loop must be 0.1 to 60 s and more, not "
              + minLengthS
              + ", "
              + maxLengthS);
    }
    if (!(fadeS >= 0.01 && fadeS <= 1)) {
      throw new IllegalArgumentException("a cross-fade must be 0.01 to 1 s, not " + fadeS);
    }
  }

  /**
   * What is usual: loops of 0.6 s, which hold three swings of a vibrato, to 8 s; a cross-fade of
   * 0.12 s, of which the ear takes no part for an event of its own.
   */
  public static LoopSettings of(double frequencyHz) {
    return new LoopSettings(frequencyHz, 0.6, 8, 0.12);
  }
}
