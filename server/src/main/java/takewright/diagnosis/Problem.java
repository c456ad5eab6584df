package takewright.diagnosis;

/**
 * One thing that is wrong with a sheet or its takes.
 *
 * @param severity how bad it is
 * @param line line of the sheet, from 1; 0 where it is not at one place
 * @param message what is wrong and what to do, in one line
 */
public record Problem(Severity severity, int line, String message) {
  /** How bad a problem is. */
  public enum Severity {
    /** The build would go on. */
    WARNING,
    /** The build would stop. */
    ERROR
  }

  public static Problem error(int line, String message) {
    return new Problem(Severity.ERROR, line, message);
  }

  public static Problem warning(int line, String message) {
    return new Problem(Severity.WARNING, line, message);
  }
}
