package takewright.audio;

import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Path;

/** A file that Takewright did not write, or that was changed since, has the name of an output. */
public final class OriginalFileException extends FileAlreadyExistsException {
  private static final long serialVersionUID = 1;

  OriginalFileException(Path file, String what) {
    super(file.toString(), null, what + "; choose another name, or move it away");
  }
}
