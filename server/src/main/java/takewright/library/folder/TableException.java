package takewright.library.folder;

import java.io.IOException;

/** A file that should be a table and is not; the message says where and what to do. */
public final class TableException extends IOException {
  private static final long serialVersionUID = 1L;

  TableException(String message, Throwable cause) {
    super(message, cause);
  }
}
