package takewright.sheet.check;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import takewright.audio.Recording;
import takewright.audio.marker.Markers;
import takewright.diagnosis.Problem;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.Span;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Decision;
import takewright.sheet.decision.Fix;
import takewright.sheet.read.yaml.Value;

/** Whether the files of takes hold what the sheet says of them. */
public final class TakeCheck {
  /**
   * The shortest a played note takes, the silence behind it included, in seconds: 50 ms of sound,
   * the shortest that is kept, and a breath of the same length. From memory: fast repeated notes
   * are played at most twelve a second, and never so for a library.
   */
  private static final double MIN_CELL_S = 0.1;

  private final Headers headers;
  private final List<SheetProblem> problems;
  private final List<Take> seen = new ArrayList<>();

  /**
   * @param problems receives what is wrong
   */
  TakeCheck(Headers headers, List<SheetProblem> problems) {
    this.headers = headers;
    this.problems = problems;
  }

  /** Checks the files of a take; gives its length in seconds. */
  double lengthS(Take take) {
    checkNotReadTwice(take);
    TakeHeader main = null;
    boolean first = true;
    for (Map.Entry<String, Recording> entry : take.files().entrySet()) {
      Recording recording = entry.getValue();
      TakeHeader header = headers.read(take.line(), recording, first ? "file" : entry.getKey());
      if (first) {
        main = header;
      } else if (main != null && header != null) {
        compare(take, main, recording, header);
      }
      first = false;
    }
    if (main == null) {
      return 0;
    }
    double lengthS = checkSpan(take, main.lengthS());
    checkLength(take, lengthS);
    checkMarkers(take);
    checkDecisions(take, main.lengthS());
    return lengthS;
  }

  /** A take that is cut by its markers must have some. */
  private void checkMarkers(Take take) {
    if (!take.rules().cutting().fromMarkers()) {
      return;
    }
    try {
      for (Path file : take.main().files()) {
        if (!Markers.read(file).isEmpty()) {
          return;
        }
      }
      problems.add(
          SheetProblem.error(
              take.line(),
              "cutting",
              "says that " + take.name() + " is cut by its markers, but it has none",
              "make a copy with markers by `segment --markers`, or leave `from` out"));
    } catch (IOException e) {
      problems.add(
          SheetProblem.error(take.line(), Headers.unreadable(e, take.name()).of("cutting")));
    }
  }

  /** Two takes may be channels or parts of one file, but hardly the same ones. */
  private void checkNotReadTwice(Take take) {
    for (Take other : seen) {
      for (Recording recording : take.files().values()) {
        boolean isTwice =
            take.span().overlaps(other.span())
                && other.files().values().stream().anyMatch(recording::overlaps);
        if (isTwice) {
          problems.add(
              SheetProblem.warning(
                  take.line(),
                  "",
                  recording.firstFile().getFileName()
                      + " is a file of the take on line "
                      + other.line()
                      + " too",
                  "correct one of them if that is not meant, or say with `between` which part of"
                      + " it each is"));
        }
      }
    }
    seen.add(take);
  }

  /** Checks which part of its files a take is; gives its length in seconds. */
  private double checkSpan(Take take, double filesS) {
    Span span = take.span();
    SheetProblem outside = outside(take, filesS);
    if (outside != null) {
      problems.add(outside);
      return 0;
    }
    if (!span.isWhole() && span.toS() > filesS + 1) {
      problems.add(
          SheetProblem.warning(
              take.line(),
              "between",
              String.format(
                  Locale.ROOT,
                  "ends at %.1f s, but %s is only %.1f s long",
                  span.toS(),
                  take.name(),
                  filesS),
              "correct the time if more is to come"));
    }
    return Math.min(span.toS(), filesS) - span.fromS();
  }

  /** What is wrong where a take begins behind the end of its files; null if it does not. */
  private static SheetProblem outside(Take take, double filesS) {
    if (filesS <= 0) {
      return SheetProblem.error(
          take.line(),
          "file",
          "names " + take.name() + ", which holds no audio",
          "export it again");
    }
    return take.span().fromS() < filesS
        ? null
        : SheetProblem.error(
            take.line(),
            "between",
            String.format(
                Locale.ROOT,
                "begins at %.1f s, but %s is only %.1f s long",
                take.span().fromS(),
                take.name(),
                filesS),
            "correct the time");
  }

  /**
   * Refuses a part of a recording that the recording does not have.
   *
   * @param filesS length of the take's files, in seconds
   */
  public static void requireSpan(Sheet sheet, Take take, double filesS) throws SheetException {
    SheetProblem outside = outside(take, filesS);
    if (outside != null) {
      throw new SheetException(sheet.file(), outside);
    }
  }

  private void compare(Take take, TakeHeader main, Recording file, TakeHeader header) {
    Problem unlike = Microphones.unlike(take.main(), main, file, header);
    if (unlike != null) {
      problems.add(SheetProblem.error(take.line(), unlike));
    }
  }

  private void checkLength(Take take, double lengthS) {
    Double barsS = take.barsLengthS();
    double needsS = take.cellCount() * (barsS == null ? MIN_CELL_S : barsS);
    // A pick-up need not hold all of its cells.
    if (lengthS < needsS && !take.fills().isPickUp()) {
      problems.add(
          SheetProblem.warning(
              take.line(),
              "",
              String.format(
                  Locale.ROOT,
                  "take %s is %.1f s long, too short for the %d samples it should hold (%.1f s at"
                      + " least)",
                  take.name(),
                  lengthS,
                  take.cellCount(),
                  needsS),
              "check its notes, dynamics, round_robins"
                  + (barsS == null ? "" : ", tempo_bpm and bars")));
    }
  }

  private void checkDecisions(Take take, double filesS) {
    for (Decision decision : take.decisions()) {
      if (decision.fromS() >= filesS) {
        problems.add(
            SheetProblem.warning(
                decision.line(),
                decision.key(),
                String.format(
                    Locale.ROOT,
                    "names %s, but %s is only %.1f s long",
                    decision.text(),
                    take.name(),
                    filesS),
                "correct the time"));
      }
    }
  }

  /**
   * Fixes that cannot fit what a take holds.
   *
   * @param endS where the take ends in its files, in seconds
   */
  void checkFixes(Sheet sheet, Take take, double endS) {
    Take unfixed = take.withFixes(List.of());
    List<Cell> cells = sheet.taking(List.of(unfixed)).cells(unfixed);
    for (Fix fix : take.fixes()) {
      if (fix.isByTime() && fix.atS() >= endS) {
        problems.add(
            SheetProblem.warning(
                fix.place().line(),
                "fixes",
                String.format(
                    Locale.ROOT,
                    "is about %s s, but %s ends at %.1f s",
                    Value.shortest(fix.atS()),
                    take.name(),
                    endS),
                "correct `at`"));
      } else if (cells.stream().noneMatch(fix.cell()::fits)) {
        problems.add(
            SheetProblem.warning(
                fix.place().line(),
                "fixes",
                "names a cell that " + take.name() + " is not asked for",
                "correct its `note`, `dynamic` and `rr`"));
      }
    }
  }
}
