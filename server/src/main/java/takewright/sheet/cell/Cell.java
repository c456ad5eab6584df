package takewright.sheet.cell;

/**
 * One note at one dynamic in one round robin, as a sheet asks for it.
 *
 * @param takeIndex the take that should hold it, from 0
 * @param articulation for instance "sustain"
 * @param midi MIDI note number, 0 to 127; null if the take has no notes
 * @param dynamic for instance "mf"
 * @param rr round robin, from 1
 */
public record Cell(int takeIndex, String articulation, Integer midi, String dynamic, int rr) {}
