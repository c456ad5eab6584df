package takewright.cli;

import java.nio.file.Path;
import takewright.v1.AudioInput;
import takewright.v1.AudioOutput;

/** Files of the command line as the service needs them: absolute paths. */
final class LocalFiles {
  private LocalFiles() {}

  static String absolute(Path file) {
    return file.toAbsolutePath().toString();
  }

  static AudioInput input(Path file) {
    return AudioInput.newBuilder().setFile(absolute(file)).build();
  }

  /** A file to write; {@code bitDepth} null is the service's default. */
  static AudioOutput output(Path file, Integer bitDepth, boolean replace) {
    AudioOutput.Builder output =
        AudioOutput.newBuilder().setFile(absolute(file)).setReplace(replace);
    if (bitDepth != null) {
      output.setBitDepth(bitDepth);
    }
    return output.build();
  }
}
