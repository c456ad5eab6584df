package takewright.cli.show;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;

/** What standard output and standard error lead to. */
public final class Terminal {
  /** Columns where nothing else is known: those of the terminals that set the custom. */
  private static final int USUAL_WIDTH = 80;

  private Terminal() {}

  /** Whether standard output is a terminal. */
  public static boolean showsOutput() {
    return isTerminal(1);
  }

  /** Whether standard error is a terminal. */
  static boolean showsErrors() {
    return isTerminal(2);
  }

  private static boolean isTerminal(int descriptor) {
    // Java 17 can tell only for input and output together, so the system is asked first where it
    // shows what they are.
    Path shown = Path.of("/proc/self/fd/" + descriptor);
    if (Files.exists(shown)) {
      try {
        String device = shown.toRealPath().toString();
        return device.startsWith("/dev/pts/") || device.startsWith("/dev/tty");
      } catch (IOException e) {
        return false;
      }
    }
    return System.console() != null;
  }

  /** Columns of a line. */
  public static int width() {
    String columns = System.getenv("COLUMNS");
    try {
      return columns == null ? USUAL_WIDTH : Math.max(20, Integer.parseInt(columns));
    } catch (NumberFormatException e) {
      return USUAL_WIDTH;
    }
  }
}
