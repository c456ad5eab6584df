package takewright.library;

import java.io.IOException;

/** A key map, a score or a list of notes that cannot be read; the message is one line. */
public final class MapException extends IOException {
  private static final long serialVersionUID = 1L;

  MapException(String message, Throwable cause) {
    super(message, cause);
  }
}
