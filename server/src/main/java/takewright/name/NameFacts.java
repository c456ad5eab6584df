package takewright.name;

/**
 * What a name says of a sample; null where it says nothing.
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
      throw new IllegalArgumentException("midi must be 0 to 127, not " + midi);
    }
    if (rr != null && (rr < 1 || rr > 9999)) {
      throw new IllegalArgumentException("rr must be 1 to 9999, not " + rr);
    }
  }
}
