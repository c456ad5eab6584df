package takewright.sheet.check;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashSet;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.audio.Recording;
import takewright.diagnosis.Diagnosed;
import takewright.diagnosis.Problem;
import takewright.name.Name;
import takewright.name.NameFacts;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.read.SheetReader;

/** Says everything that is wrong or missing in a sheet and its takes. Writes nothing. */
public final class Check {
  /** The keys of a sheet that hold the texts of names, by what a name calls them. */
  private static final Map<String, String> KEYS_OF_TEXTS =
      Map.of(
          "library", "library",
          "articulation", "articulation",
          "layer", "layers",
          "dynamic", "dynamics");

  private final List<SheetProblem> problems = new ArrayList<>();
  private final Headers headers;

  private Check(Headers.Opener opener) {
    headers = new Headers(opener, problems);
  }

  /** Checks a sheet and the headers of its takes. What is wrong is in the report, never thrown. */
  public static CheckReport apply(Path sheetFile) {
    return apply(sheetFile, named -> named);
  }

  /**
   * The same.
   *
   * @param reach where the files that the sheet names really are; what it refuses is a problem of
   *     the sheet
   */
  public static CheckReport apply(Path sheetFile, Sheet.Reach reach) {
    return apply(sheetFile, reach, Recording::open);
  }

  static CheckReport apply(Path sheetFile, Sheet.Reach reach, Headers.Opener opener) {
    try {
      return new Check(opener).run(SheetReader.readAll(sheetFile), reach);
    } catch (SheetException e) {
      return failed(e.line(), e.problem().elsewhere());
    } catch (IOException e) {
      return failed(0, Headers.unreadable(e, String.valueOf(sheetFile.getFileName())));
    }
  }

  private static CheckReport failed(int line, Problem problem) {
    return new CheckReport(List.of(SheetProblem.error(line, problem)), 0, 0, 0);
  }

  private CheckReport run(SheetReader.Outcome outcome, Sheet.Reach reach) throws IOException {
    problems.addAll(outcome.problems());
    if (outcome.sheet() == null) {
      return new CheckReport(problems, 0, 0, 0);
    }
    Sheet sheet = outcome.sheet();
    Sheet reached = sheet.reached(reach, problems::add);
    int cells = cells(sheet);
    if (outcome.problems().isEmpty()) {
      checkNames(sheet, outcome.nameLine());
    }
    // What may not be reached is not opened.
    checkImpulses(reached);
    problems.addAll(TemplateCheck.of(reached));
    double durationS = 0;
    TakeCheck takes = new TakeCheck(headers, problems);
    for (Take take : reached.takes()) {
      checkLayers(sheet, take);
      double lengthS = takes.lengthS(take);
      durationS += lengthS;
      if (lengthS > 0) {
        takes.checkFixes(sheet, take, take.span().fromS() + lengthS);
      }
    }
    problems.sort((a, b) -> Integer.compare(a.line(), b.line()));
    return new CheckReport(problems, cells, sheet.takes().size(), durationS);
  }

  /** How many samples are asked for; those of pick-ups, where others ask for them, once. */
  private static int cells(Sheet sheet) {
    Set<List<Object>> cells = new HashSet<>();
    for (Cell cell : sheet.cells()) {
      cells.add(Arrays.asList(cell.articulation(), cell.midi(), cell.dynamic(), cell.rr()));
    }
    return cells.size();
  }

  private void checkNames(Sheet sheet, int nameLine) {
    // A pick-up asks for cells of other takes.
    Set<NameFacts> facts = new LinkedHashSet<>();
    for (Take take : sheet.takes()) {
      for (Layer layer : sheet.layers(take)) {
        sheet.cells(take).forEach(cell -> facts.add(sheet.facts(cell, layer)));
      }
    }
    try {
      Name.formatAll(List.copyOf(facts), sheet.naming());
    } catch (IllegalArgumentException e) {
      String field = e instanceof Diagnosed known ? known.problem().field() : "";
      String key = KEYS_OF_TEXTS.getOrDefault(field, "name");
      problems.add(SheetProblem.error(key.equals("name") ? nameLine : 0, key, e));
    }
  }

  private void checkImpulses(Sheet sheet) {
    for (Layer layer : sheet.layers()) {
      if (layer.impulse() != null) {
        TakeHeader impulse = headers.read(layer.line(), Recording.of(layer.impulse()), "impulse");
        if (impulse != null && impulse.channels() == 3) {
          problems.add(
              SheetProblem.error(
                  layer.line(),
                  "impulse",
                  "of layer " + layer.name() + " has 3 channels",
                  "use one of 1, 2 or 4 channels"));
        }
      }
    }
  }

  private void checkLayers(Sheet sheet, Take take) {
    for (Layer layer : sheet.layers()) {
      if (layer.isRecorded() && !take.files().containsKey(layer.name())) {
        problems.add(
            SheetProblem.warning(
                take.line(),
                "files",
                "of take "
                    + take.name()
                    + " names no file for layer \""
                    + layer.name()
                    + "\", so that layer has no samples of it",
                "name one"));
      }
    }
  }
}
