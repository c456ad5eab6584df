package takewright.cli.option;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import takewright.v1.AudioInput;
import takewright.v1.AudioOutput;

/** Files of the command line as the service needs them: absolute paths. */
public final class LocalFiles {
  private LocalFiles() {}

  public static String absolute(Path file) {
    return file.toAbsolutePath().toString();
  }

  /**
   * A file that the command itself writes, by a path without links: what is written follows none.
   */
  public static Path toWrite(Path file) throws IOException {
    Path whole = file.toAbsolutePath().normalize();
    Path name = whole.getFileName();
    return name == null ? whole : real(whole.getParent()).resolve(name);
  }

  /** A folder by its path without links; it need not exist yet. */
  public static Path real(Path folder) throws IOException {
    Path whole = folder.toAbsolutePath().normalize();
    for (Path there = whole; there != null; there = there.getParent()) {
      if (Files.exists(there)) {
        return there.toRealPath().resolve(there.relativize(whole));
      }
    }
    return whole;
  }

  public static AudioInput input(Path file) {
    return AudioInput.newBuilder().setFile(absolute(file)).build();
  }

  /** A file to write; {@code bitDepth} null is the service's default. */
  public static AudioOutput output(Path file, Integer bitDepth, boolean replace) {
    AudioOutput.Builder output =
        AudioOutput.newBuilder().setFile(absolute(file)).setReplace(replace);
    if (bitDepth != null) {
      output.setBitDepth(bitDepth);
    }
    return output.build();
  }
}
