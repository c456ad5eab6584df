package takewright.library.folder;

import java.util.List;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.FlagPlace;
import takewright.diagnosis.Flags;
import takewright.sheet.cell.CellStatus;

/**
 * One row of an index: a region, or a cell that no region fills.
 *
 * @param id names the region, and stays from build to build; of a missing cell, names the cell
 * @param file the sample's file relative to the index; null if none was written
 * @param cell where it belongs in the library
 * @param stretch where it is in its take
 * @param measures what was measured
 * @param loop how the sample is held and let go
 * @param status what became of it
 * @param flags why it was left out, or what a person should look at
 * @param places where in the take the reasons for its flags are heard, of those that have a place
 */
public record IndexRow(
    String id,
    String file,
    IndexCell cell,
    Stretch stretch,
    Measures measures,
    LoopAndRelease loop,
    CellStatus status,
    Set<Flag> flags,
    List<FlagPlace> places) {
  public IndexRow {
    id = id == null ? "" : id;
    flags = Flags.copyOf(flags);
    places = List.copyOf(places);
  }
}
