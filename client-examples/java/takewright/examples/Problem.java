package takewright.examples;

/** A problem to report to the user in one line. */
final class Problem extends RuntimeException {
  private static final long serialVersionUID = 1;

  Problem(String line) {
    super(line);
  }

  Problem(String line, Throwable cause) {
    super(line, cause);
  }
}
