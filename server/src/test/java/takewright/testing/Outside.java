package takewright.testing;

import java.io.File;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Assertions;
import org.junit.jupiter.api.Assumptions;

/**
 * What tests use from outside the project: real recordings and reference tools. Where one is not
 * here the test is skipped and says so; in CI that is a failure instead.
 */
public final class Outside {
  private Outside() {}

  /**
   * The folder of single-note recordings of an instrument ("violin", "contrabass", "saxophone"),
   * files named after their note. {@code ./takewright test} fetches them and says where they are.
   */
  public static Path recordings(String instrument) {
    String root = System.getenv("TAKEWRIGHT_RECORDINGS");
    if (root == null || root.isBlank()) {
      throw missing("TAKEWRIGHT_RECORDINGS is not set; ./takewright test sets it");
    }
    Path folder = Path.of(root, instrument);
    if (!Files.isDirectory(folder)) {
      throw missing("no recordings in " + folder);
    }
    return folder;
  }

  /** A program on the PATH. */
  public static Path tool(String name) {
    for (String folder : System.getenv("PATH").split(File.pathSeparator)) {
      Path file = Path.of(folder, name);
      if (Files.isExecutable(file)) {
        return file;
      }
    }
    throw missing(name + " is not installed");
  }

  /** The Python that has NumPy, SciPy and soundfile; {@code ./takewright test} says which. */
  public static Path python() {
    String python = System.getenv("TAKEWRIGHT_PYTHON");
    if (python == null || python.isBlank()) {
      throw missing("TAKEWRIGHT_PYTHON is not set; ./takewright test sets it");
    }
    return Path.of(python);
  }

  /**
   * Skips the test where only the superuser may do what it needs and the run is told to be an
   * ordinary user's ({@code ./takewright test --as-user}); else as {@link #missing}. Never returns.
   */
  public static RuntimeException forbidden(String what) {
    if ("true".equals(System.getenv("TAKEWRIGHT_AS_USER"))) {
      Assumptions.abort("needs root: " + what);
    }
    throw missing("only the superuser may do this: " + what);
  }

  /** Skips the test, or fails it in CI, for want of something. Never returns. */
  public static RuntimeException missing(String what) {
    if ("true".equals(System.getenv("CI"))) {
      Assertions.fail(what + "; in CI nothing may be skipped");
    }
    Assumptions.abort(what);
    return new IllegalStateException(what);
  }
}
