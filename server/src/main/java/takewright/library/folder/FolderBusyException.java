package takewright.library.folder;

import java.io.IOException;
import java.nio.file.Path;

/** Another build writes to the folder. */
public final class FolderBusyException extends IOException {
  private static final long serialVersionUID = 1L;

  public FolderBusyException(Path folder) {
    super(
        folder + ": another build is writing there; wait for it to end, or choose another folder");
  }
}
