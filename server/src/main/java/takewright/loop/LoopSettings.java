package takewright.loop;

/**
 * Settings of a search for loops.
 *
 * @param frequencyHz the note's frequency in hertz, within a semitone
 * @param shortestS shortest loop in seconds, 0.1 to 60; shorter ones sound like a machine
 * @param longestS longest loop in seconds, above {@code shortestS}
 * @param fadeS longest cross-fade in seconds, 0.01 to 1
 */
public record LoopSettings(double frequencyHz, double shortestS, double longestS, double fadeS) {
  public LoopSettings {
    if (!(frequencyHz > 0)) {
      throw new IllegalArgumentException("a frequency must be above 0, not " + frequencyHz);
    }
    if (!(shortestS >= 0.1 && shortestS <= 60 && longestS > shortestS)) {
      throw new IllegalArgumentException(
          "the lengths of a loop must be 0.1 to 60 s and more, not " + shortestS + ", " + longestS);
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
