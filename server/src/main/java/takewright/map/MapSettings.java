package takewright.map;

import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * How samples are laid on the keys.
 *
 * @param reachSemitones how far from its root a sample is played, either way, in semitones, 0 to 24
 * @param evenVelocities true: every dynamic gets as many velocities; false: by measured loudness
 * @param firstKey MIDI note number of the key on which the first sample without a root note lies, 0
 *     to 127
 */
public record MapSettings(int reachSemitones, boolean evenVelocities, int firstKey) {
  /**
   * Four semitones bridge samples up to a minor sixth apart, and are about as far as a note can be
   * moved before it sounds like another instrument (common practice). Key 36 is where drum maps
   * begin (General MIDI's bass drum).
   */
  public static final MapSettings DEFAULTS = new MapSettings(4, false, 36);

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
