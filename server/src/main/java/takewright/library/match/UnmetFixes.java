package takewright.library.match;

import java.util.List;
import java.util.Locale;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.segment.Region;
import takewright.sheet.SheetProblem;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.decision.Fix;
import takewright.sheet.decision.LoopChoice;
import takewright.sheet.decision.Verdict;

/**
 * Says what fixes could not do, and where to look instead.
 *
 * @param take the take, as the sheet names it
 * @param sampleRate of the take, in hertz
 * @param warnings receives it
 */
record UnmetFixes(String take, int sampleRate, List<SheetProblem> warnings) {
  /** There is no region at the time of a fix. */
  void missed(Fix fix, List<Corrected> all) {
    Region nearest = null;
    double min = Double.POSITIVE_INFINITY;
    for (Corrected one : all) {
      Region region = one.bounds();
      double at = fix.atS() * sampleRate;
      double distance = Math.max(0, Math.max(region.start() - at, at - region.end()));
      if (distance < min) {
        min = distance;
        nearest = region;
      }
    }
    String where = "is about " + number(fix.atS()) + " s, where " + take + " has no region";
    if (nearest == null) {
      add(fix, where + " nor any other sound", "take it out");
    } else {
      add(
          fix,
          where + "; the nearest is " + stretch(nearest),
          "correct `at`, or give both `start_s` and `end_s`");
    }
  }

  /** The bounds of a fix hold no sound. */
  void empty(Fix fix, long start, long end) {
    add(
        fix,
        String.format(
            Locale.ROOT,
            "would make the region of %s from %s to %s, which holds nothing but its lead-in or lies after the end of the take",
            take,
            seconds(start),
            seconds(end)),
        "correct `start_s` or `end_s`");
  }

  /** A region is said to be what the take is not asked for. */
  void unasked(Corrected one) {
    add(
        one.lastFix(),
        "says what the region of "
            + take
            + " at "
            + seconds(one.bounds().onset())
            + " is, but the take asks for no such note, dynamic and round robin",
        "correct it, or the take's `notes`, `dynamics` and `round_robins`");
  }

  /** No region fills the cells that a fix names. */
  void unfilled(Fix fix, List<Corrected> all, List<Cell> cells, Matching matching) {
    if (cells.stream().noneMatch(fix.cell()::fits)) {
      add(
          fix,
          "names a cell that " + take + " is not asked for",
          "correct its `note`, `dynamic` and `rr`");
      return;
    }
    // The neighbour in the order of the take says where to look.
    int first = 0;
    while (!fix.cell().fits(cells.get(first))) {
      first++;
    }
    int nearest = -1;
    for (int i = 0; i < all.size(); i++) {
      int cell = matching.cells()[i];
      if (cell >= 0
          && (nearest < 0
              || Math.abs(cell - first) < Math.abs(matching.cells()[nearest] - first))) {
        nearest = i;
      }
    }
    add(
        fix,
        "names a cell that no region of "
            + take
            + " fills"
            + (nearest < 0 ? "" : "; the nearest is " + stretch(all.get(nearest).bounds())),
        "give `at`, a time inside its region");
  }

  /** The region of a fix becomes no sample. */
  void leftOut(Corrected one, CellStatus status) {
    String where = "corrects the region of " + take + " " + stretch(one.bounds());
    boolean isRetake = status == CellStatus.RETAKE;
    Verdict verdict = one.correction().verdict();
    if (one.isKeptByFix()) {
      add(
          one.lastFix(),
          where
              + (isRetake
                  ? ", but another one is kept for the same cell"
                  : ", but the sheet asks for no further sample there"),
          isRetake
              ? "drop the other one"
              : "say which note, dynamic and round robin it is, or drop another one");
    } else if (verdict != Verdict.DROP && verdict != Verdict.AS_HEARD) {
      add(one.lastFix(), where + ", which is left out", "add `keep: yes` if it is a sample");
    }
  }

  /** A loop is put where the sample is not. */
  void loop(Corrected one, Region finished) {
    LoopChoice loop = one.correction().loop();
    if (loop != null
        && loop.isPlaced()
        && (Math.round(loop.startS() * sampleRate) < finished.start()
            || Math.round(loop.endS() * sampleRate) > finished.end())) {
      add(
          one.lastFix(),
          String.format(
              Locale.ROOT,
              "puts a loop from %.2f to %.2f s, outside of its region %s",
              loop.startS(),
              loop.endS(),
              stretch(finished)),
          "correct `loop_s`");
    }
  }

  private void add(Fix fix, String what, String remedy) {
    Problem problem = new Problem(Reason.INPUT_INVALID, "", fix.place(), what, remedy);
    warnings.add(new SheetProblem(SheetProblem.Severity.WARNING, fix.place().line(), problem));
  }

  private String stretch(Region region) {
    return "from " + seconds(region.start()) + " to " + seconds(region.end());
  }

  private String seconds(long frame) {
    return String.format(Locale.ROOT, "%.2f s", (double) frame / sampleRate);
  }

  private static String number(double seconds) {
    return seconds == Math.rint(seconds) ? String.valueOf((long) seconds) : String.valueOf(seconds);
  }
}
