package takewright.audit;

import java.io.IOException;

/** A rename plan that cannot be carried out; the message says what is wrong and what to do. */
public final class RenameException extends IOException {
  private static final long serialVersionUID = 1L;

  RenameException(String message) {
    super(message);
  }
}
