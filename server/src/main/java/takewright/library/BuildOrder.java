package takewright.library;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.FileProblems;
import takewright.sheet.Sheet;
import takewright.sheet.read.DecisionsReader;
import takewright.sheet.read.SelectionReader;
import takewright.sheet.read.SheetReader;

/**
 * What to build.
 *
 * @param sheet the sheet
 * @param out the folder to write to; made if missing
 * @param decisions a file of decisions that hold over the sheet; null for none
 * @param markers a folder for copies of the takes whose regions are markers; null for none
 * @param asWritten whether it is built although what is heard fits another plan much better
 * @param only which cells' samples to make, as {@link SelectionReader} reads it, while all others
 *     stay as the last build left them; empty for all
 * @param reach where the files that the sheet names really are
 * @param part the part of the build to make; null for all of it
 */
public record BuildOrder(
    Path sheet,
    Path out,
    Path decisions,
    Path markers,
    boolean asWritten,
    String only,
    Sheet.Reach reach,
    BuildPart part) {
  /** All of a build. */
  public BuildOrder(
      Path sheet,
      Path out,
      Path decisions,
      Path markers,
      boolean asWritten,
      String only,
      Sheet.Reach reach) {
    this(sheet, out, decisions, markers, asWritten, only, reach, null);
  }

  /** An order without copies of the takes, which stops where another plan fits much better. */
  public BuildOrder(Path sheet, Path out, Path decisions) {
    this(sheet, out, decisions, null, false, "", BuildOrder::anywhere);
  }

  /** The same of only some cells. */
  public BuildOrder only(String cells) {
    return new BuildOrder(sheet, out, decisions, markers, asWritten, cells, reach, part);
  }

  /** One part of the same; all of it if it is null. */
  public BuildOrder part(BuildPart wanted) {
    return new BuildOrder(sheet, out, decisions, markers, asWritten, only, reach, wanted);
  }

  /** Every file that there is may be reached. */
  private static Path anywhere(Path named) throws IOException {
    return Files.exists(named) ? named.toRealPath() : named;
  }

  /** All that a sheet asks for, as it says. */
  public static BuildOrder of(Path sheet, Path out) {
    return new BuildOrder(sheet, out, null);
  }

  /**
   * Reads the sheet and the decisions.
   *
   * @throws FileProblemException if one of them cannot be understood
   */
  public DecisionsReader.DecidedSheet read() throws IOException {
    Sheet asWritten = SheetReader.read(sheet).reached(reach);
    return decisions == null
        ? new DecisionsReader.DecidedSheet(asWritten, List.of())
        : FileProblems.read("decisions_file", () -> DecisionsReader.read(asWritten, decisions));
  }
}
