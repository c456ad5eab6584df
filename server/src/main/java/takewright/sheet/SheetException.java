package takewright.sheet;

import java.nio.file.Path;
import takewright.diagnosis.FileProblemException;

/** A sheet that cannot be read or built. */
public final class SheetException extends FileProblemException {
  private static final long serialVersionUID = 1L;

  private final int line;

  /**
   * @param file the sheet, unless the problem has a place of its own
   */
  public SheetException(Path file, SheetProblem found) {
    super(
        found.problem().place() == null
            ? found.problem().at(String.valueOf(file.getFileName()), found.line())
            : found.problem());
    line = found.line();
  }

  /** Line of the sheet, from 1; 0 if it is not at one place. */
  public int line() {
    return line;
  }
}
