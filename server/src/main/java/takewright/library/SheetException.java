package takewright.library;

import java.io.IOException;

/** A sheet that cannot be read; the message names the line, what is wrong and what to do. */
public final class SheetException extends IOException {
  private static final long serialVersionUID = 1L;

  public SheetException(String message) {
    super(message);
  }
}
