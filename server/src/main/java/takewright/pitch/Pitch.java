package takewright.pitch;

/**
 * A pitch that was heard.
 *
 * @param midi nearest MIDI note number, 60 for middle C, 0 to 127
 * @param cents deviation from that note in cents, -50 to 50
 * @param frequencyHz fundamental frequency in hertz
 * @param confidence how sure the detector is that it is this note, 0 to 1
 * @param centsUncertainty one standard deviation of the cents; NaN where the frequency was not
 *     measured exactly
 */
public record Pitch(
    int midi, double cents, double frequencyHz, double confidence, double centsUncertainty) {
  /** A pitch whose frequency was not measured exactly. */
  public Pitch(int midi, double cents, double frequencyHz, double confidence) {
    this(midi, cents, frequencyHz, confidence, Double.NaN);
  }

  /** The pitch of a frequency, where A4 (MIDI 69) has {@code tuningHz}. */
  public static Pitch of(double frequencyHz, double tuningHz, double confidence) {
    double note = 69 + 12 * Math.log(frequencyHz / tuningHz) / Math.log(2);
    int midi = (int) Math.max(0, Math.min(127, Math.round(note)));
    return new Pitch(midi, 100 * (note - midi), frequencyHz, confidence);
  }

  /** Whether the frequency was measured exactly. */
  public boolean isExact() {
    return !Double.isNaN(centsUncertainty);
  }

  /** The same pitch with an uncertainty, in cents. */
  Pitch within(double uncertainty) {
    return new Pitch(midi, cents, frequencyHz, confidence, uncertainty);
  }
}
