package takewright.sheet.check;

import java.io.IOException;
import java.nio.file.NoSuchFileException;
import java.util.ArrayList;
import java.util.List;
import takewright.diagnosis.FileProblemException;
import takewright.sheet.MapTemplate;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;

/** Whether the templates of a sheet can be used. */
final class TemplateCheck {
  private TemplateCheck() {}

  /** What is wrong with them. */
  static List<SheetProblem> of(Sheet sheet) {
    List<SheetProblem> problems = new ArrayList<>();
    for (MapTemplate template : sheet.map().templates()) {
      SheetProblem problem = problem(template);
      if (problem != null) {
        problems.add(problem);
      }
    }
    return problems;
  }

  private static SheetProblem problem(MapTemplate template) {
    String name = String.valueOf(template.file().getFileName());
    try {
      template.read();
      return null;
    } catch (NoSuchFileException e) {
      return Headers.notThere(template.line(), name, "templates");
    } catch (FileProblemException e) {
      String what = "names " + name + ", which " + e.problem().what();
      return SheetProblem.error(template.line(), "templates", what, e.problem().remedy());
    } catch (IOException e) {
      return SheetProblem.error(template.line(), Headers.unreadable(e, name).of("templates"));
    }
  }
}
