package takewright.sheet.cell;

/**
 * Which cells of a take a person means. What is null may be any.
 *
 * @param midi MIDI note number, 0 to 127
 * @param dynamic as the take names it
 * @param rr round robin, from 1
 */
public record CellName(Integer midi, String dynamic, Integer rr) {
  /** Any cell. */
  public static final CellName ANY = new CellName(null, null, null);

  /** Just this cell. */
  public static CellName of(Cell cell) {
    return new CellName(cell.midi(), cell.dynamic(), cell.rr());
  }

  /** Whether it names nothing. */
  public boolean isAny() {
    return midi == null && dynamic == null && rr == null;
  }

  /** Whether a cell is among those that it names. */
  public boolean fits(Cell cell) {
    return (midi == null || midi.equals(cell.midi()))
        && (dynamic == null || dynamic.equals(cell.dynamic()))
        && (rr == null || rr == cell.rr());
  }

  /** The same with what another names in its place. */
  public CellName then(CellName later) {
    return new CellName(
        later.midi == null ? midi : later.midi,
        later.dynamic == null ? dynamic : later.dynamic,
        later.rr == null ? rr : later.rr);
  }
}
