package takewright.sheet.check;

import java.util.List;
import takewright.sheet.SheetProblem;

/**
 * What a check found.
 *
 * @param problems everything wrong or worth a look, by line; empty if the sheet can be built
 * @param cells cells the sheet asks for
 * @param takes takes the sheet names
 * @param durationS length of all takes that could be opened, in seconds
 */
public record CheckReport(List<SheetProblem> problems, int cells, int takes, double durationS) {
  public CheckReport {
    problems = List.copyOf(problems);
  }

  /** Whether a build would stop. */
  public boolean hasErrors() {
    return problems.stream().anyMatch(p -> p.severity() == SheetProblem.Severity.ERROR);
  }
}
