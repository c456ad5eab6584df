package takewright.library;

import java.nio.file.Path;
import takewright.diagnosis.FileProblemException;

/** A sheet that cannot be read or built. */
public final class SheetException extends FileProblemException {
  private static final long serialVersionUID = 1L;

  SheetException(Path file, SheetProblem found) {
    super(found.problem().at(String.valueOf(file.getFileName()), found.line()));
  }
}
