package takewright.bench.fuzz;

import java.nio.file.Path;

/** What an error has to be. */
final class OneLine {
  private OneLine() {}

  static void require(String message, Path file) {
    if (message == null || !message.contains(file.getFileName().toString())) {
      throw new AssertionError("does not name the file: " + message);
    }
    require(message);
  }

  static void require(String message) {
    if (message == null || message.isBlank() || message.contains("\n")) {
      throw new AssertionError("is no clear line: " + message);
    }
  }
}
