package takewright.bench.fuzz;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import takewright.sheet.check.Check;
import takewright.sheet.read.SheetReader;

/** A sheet of any bytes is read or refused; a check says what is wrong with it. */
public final class SheetTarget {
  private SheetTarget() {}

  /** Called by Jazzer. */
  public static void fuzzerTestOneInput(byte[] data) throws IOException {
    Path file = Files.createTempFile("fuzz", ".yaml");
    try {
      Files.write(file, data);
      Check.apply(file).problems().forEach(problem -> OneLine.require(problem.message()));
      try {
        SheetReader.read(file);
      } catch (IOException e) {
        OneLine.require(e.getMessage(), file);
      }
    } finally {
      Files.delete(file);
    }
  }
}
