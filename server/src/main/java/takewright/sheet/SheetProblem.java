package takewright.sheet;

import java.util.List;
import takewright.diagnosis.Diagnosed;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;

/**
 * One thing that is wrong with a sheet or its takes.
 *
 * @param severity how bad it is
 * @param line line of the sheet, from 1; 0 if it is not at one place
 * @param problem what is wrong and what to do; its field is the key of the sheet
 */
public record SheetProblem(Severity severity, int line, Problem problem) {
  /** How bad a problem is. */
  public enum Severity {
    /** The build would go on. */
    WARNING,
    /** The build would stop. */
    ERROR
  }

  public static SheetProblem error(int line, Problem problem) {
    return new SheetProblem(Severity.ERROR, line, problem);
  }

  /** A problem with a key. */
  public static SheetProblem error(int line, String key, String what, String remedy) {
    return error(line, Problem.invalid(key, what, remedy));
  }

  /** What an operation refuses of what a key says. */
  public static SheetProblem error(int line, String key, IllegalArgumentException refused) {
    return error(
        line,
        refused instanceof Diagnosed known
            ? known.problem().of(key)
            : Problem.invalid(key, "cannot be used: " + refused.getMessage(), "correct it"));
  }

  public static SheetProblem warning(int line, String key, String what, String remedy) {
    return new SheetProblem(Severity.WARNING, line, Problem.invalid(key, what, remedy));
  }

  /** The line for a person, without file and line. */
  public String message() {
    return problem.text();
  }

  /**
   * The problem to tell where only one can be: the first, unless that is a missing key and another
   * is misspelt, which more likely is why.
   */
  public static SheetProblem worst(List<SheetProblem> problems) {
    SheetProblem first = problems.get(0);
    return first.problem.reason() == Reason.MISSING_KEY
        ? problems.stream()
            .filter(other -> other.problem.reason() == Reason.UNKNOWN_KEY)
            .findFirst()
            .orElse(first)
        : first;
  }
}
