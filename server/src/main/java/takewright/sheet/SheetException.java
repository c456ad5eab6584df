package takewright.sheet;

import java.nio.file.Path;
import takewright.diagnosis.FileProblemException;

/** A sheet that cannot be read or built. */
public final class SheetException extends FileProblemException {
  private static final long serialVersionUID = 1L;

  private final int line;

  public SheetException(Path file, SheetProblem found) {
    super(found.problem().at(String.valueOf(file.getFileName()), found.line()));
    line = found.line();
  }

  /** Line of the sheet, from 1; 0 if it is not at one place. */
  public int line() {
    return line;
  }
}
