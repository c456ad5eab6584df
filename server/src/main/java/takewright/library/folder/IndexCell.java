package takewright.library.folder;

import takewright.pitch.Kind;

/**
 * Where a row of an index belongs in the library. What is not known is null.
 *
 * @param articulation for instance "sustain"
 * @param kind how the region was treated
 * @param layer for instance "close"
 * @param note name of the root note in the sheet's spelling
 * @param midi root note as a MIDI note number, 0 to 127
 * @param dynamic for instance "mf"
 * @param rr round robin, from 1
 */
public record IndexCell(
    String articulation,
    Kind kind,
    String layer,
    String note,
    Integer midi,
    String dynamic,
    Integer rr) {}
