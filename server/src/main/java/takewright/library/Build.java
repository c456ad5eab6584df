package takewright.library;

import java.io.IOException;
import java.nio.file.Path;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;

/** Builds a library from a sheet and its takes. */
public final class Build {
  private Build() {}

  /** Builds the library of a sheet into a folder, and goes on where an earlier build stopped. */
  public static BuildResult run(
      Path sheetFile,
      Path outputFolder,
      Consumer<BuildProgress> progress,
      BooleanSupplier cancelled)
      throws IOException {
    throw new UnsupportedOperationException("not yet");
  }
}
