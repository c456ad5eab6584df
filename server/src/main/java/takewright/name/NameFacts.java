package takewright.name;

import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * What a name says of a sample; null if it says nothing.
 *
 * @param library name of the library
 * @param articulation for instance "sustain"
 * @param layer for instance "close"
 * @param midi root note as a MIDI note number, 0 to 127; null for a sample without one
 * @param dynamic for instance "mf"
 * @param rr round robin, 1 to 9999
 */
public record NameFacts(
    String library, String articulation, String layer, Integer midi, String dynamic, Integer rr) {
  public NameFacts {
    if (midi != null && (midi < 0 || midi > 127)) {
      throw new SettingException(Problem.outOfRange("midi", midi, 0, 127, ""));
    }
    if (rr != null && (rr < 1 || rr > 9999)) {
      throw new SettingException(Problem.outOfRange("rr", rr, 1, 9999, ""));
    }
  }
}
