package takewright.sheet.cell;

import java.util.Objects;

/**
 * One note at one dynamic in one round robin, as a sheet asks for it.
 *
 * @param takeIndex the take that should hold it, from 0
 * @param articulation for instance "sustain"
 * @param midi MIDI note number, 0 to 127; null if the take has no notes
 * @param dynamic for instance "mf"
 * @param rr round robin, from 1
 */
public record Cell(int takeIndex, String articulation, Integer midi, String dynamic, int rr) {
  /** Whether another cell is a round robin of the same note at the same dynamic. */
  public boolean isSameNoteAs(Cell other) {
    return Objects.equals(midi, other.midi) && dynamic.equals(other.dynamic);
  }
}
