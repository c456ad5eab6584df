package takewright.map;

import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * How samples are laid on the keys.
 *
 * @param reachSemitones how far from its root a sample is played, either way, in semitones, 0 to 24
 * @param velocity how velocities are shared out among the dynamics
 * @param firstKey MIDI note number of the key on which the first sample without a root note lies, 0
 *     to 127
 */
public record MapSettings(int reachSemitones, VelocityRule velocity, int firstKey) {
  /**
   * Even velocities are what whoever plays a keyboard expects (common practice): by loudness, a
   * dynamic that was played nearly as loud as the next would be hard to find. Four semitones bridge
   * samples up to a minor sixth apart, and are about as far as a note can be moved before it sounds
   * like another instrument (common practice). Key 36 is where drum maps begin (General MIDI's bass
   * drum).
   */
  public static final MapSettings DEFAULTS = new MapSettings(4, VelocityRule.EVEN, 36);

  public MapSettings {
    if (reachSemitones < 0 || reachSemitones > 24) {
      throw new SettingException(
          Problem.outOfRange("reach_semitones", reachSemitones, 0, 24, "semitones"));
    }
    if (firstKey < 0 || firstKey > 127) {
      throw new SettingException(Problem.outOfRange("first_key", firstKey, 0, 127, ""));
    }
  }
}
