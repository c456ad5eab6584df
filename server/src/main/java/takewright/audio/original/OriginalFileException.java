package takewright.audio.original;

import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Path;

/** A file that Takewright did not write, or that was changed since, has the name of an output. */
public final class OriginalFileException extends FileAlreadyExistsException {
  private static final long serialVersionUID = 1;

  /** What to do about it. */
  public static final String REMEDY = "choose another name, or move it away";

  private final String what;

  OriginalFileException(Path file, String what) {
    super(file.toString(), null, what + "; " + REMEDY);
    this.what = what;
  }

  /** What is wrong with the file. */
  public String what() {
    return what;
  }
}
