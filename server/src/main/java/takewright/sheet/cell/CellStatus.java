package takewright.sheet.cell;

import java.util.Locale;

/** What became of a region or a cell. */
public enum CellStatus {
  /** It is a sample of the library. */
  KEPT,
  /** Played again later; the later one is kept. */
  RETAKE,
  /** A good region that the sheet does not ask for. */
  EXTRA,
  /** No note: talk, a knock, clipped, ...; the flags say why. */
  REJECTED,
  /** A cell that no region fills. */
  MISSING;

  /** The word for it in tables: its name in lower case. */
  public String word() {
    return name().toLowerCase(Locale.ROOT);
  }
}
