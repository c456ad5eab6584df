package takewright.library.folder;

import java.io.IOException;

/** A key map, a score or a list of notes that cannot be read; the message is one line. */
public final class MapException extends IOException {
  private static final long serialVersionUID = 1L;

  public MapException(String message, Throwable cause) {
    super(message, cause);
  }
}
