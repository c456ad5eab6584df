package takewright.library;

import java.io.IOException;

/** Another build is writing to the folder. */
public final class FolderBusyException extends IOException {
  private static final long serialVersionUID = 1L;

  public FolderBusyException(String message) {
    super(message);
  }
}
