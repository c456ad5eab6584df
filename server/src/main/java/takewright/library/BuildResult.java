package takewright.library;

import java.nio.file.Path;
import java.util.List;
import takewright.diagnosis.Problem;
import takewright.library.folder.Changes;
import takewright.library.folder.IndexRow;
import takewright.sheet.cell.CellStatus;

/**
 * What came of a build.
 *
 * @param samples samples in the folder
 * @param missing cells that no region fills
 * @param leftOut regions rejected, played again later, or beyond what the sheet asks for
 * @param flagged samples kept but flagged
 * @param indexFile the table of all regions and missing cells
 * @param samplesReused samples that an earlier run had finished
 * @param changes what is new, changed or gone since the last build
 * @param warnings what a person should look at beyond the flags, each with its place in the sheet
 *     or the file of decisions
 */
public record BuildResult(
    int samples,
    int missing,
    int leftOut,
    int flagged,
    Path indexFile,
    int samplesReused,
    Changes changes,
    List<Problem> warnings) {
  public BuildResult {
    warnings = List.copyOf(warnings);
  }

  /** Counts the rows of an index. */
  static BuildResult of(
      List<IndexRow> rows, Path indexFile, int reused, Changes changes, List<Problem> warnings) {
    int kept = 0;
    int missing = 0;
    int flagged = 0;
    for (IndexRow row : rows) {
      boolean isKept = row.status() == CellStatus.KEPT;
      kept += isKept ? 1 : 0;
      flagged += isKept && !row.flags().isEmpty() ? 1 : 0;
      missing += row.status() == CellStatus.MISSING ? 1 : 0;
    }
    int leftOut = rows.size() - kept - missing;
    return new BuildResult(kept, missing, leftOut, flagged, indexFile, reused, changes, warnings);
  }
}
