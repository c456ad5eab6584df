package takewright.sheet;

import java.io.IOException;
import java.nio.file.Path;
import takewright.diagnosis.Problem;

/** A sheet that cannot be read; the message is one line: file name, line, what is wrong, remedy. */
public final class SheetException extends IOException {
  private static final long serialVersionUID = 1L;

  private final int line;

  public SheetException(Path file, Problem problem) {
    super(
        file.getFileName()
            + (problem.line() > 0 ? ":" + problem.line() : "")
            + ": "
            + problem.message());
    line = problem.line();
  }

  /** Line of the sheet, from 1; 0 where it is not at one place. */
  public int line() {
    return line;
  }
}
