package takewright.library.match;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.segment.Region;
import takewright.sheet.Cell;
import takewright.sheet.CellName;
import takewright.sheet.CellStatus;
import takewright.sheet.Correction;
import takewright.sheet.Fix;
import takewright.sheet.LoopChoice;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.Verdict;

/**
 * The regions of a take with a person's corrections. Those found by a time come before the regions
 * are matched with the cells, those found by a cell afterwards.
 *
 * <p>A fix that gives both ends makes a region where none was heard, and of one region that holds
 * two sounds two fixes make two. What lies wholly within the bounds that a person gave to another
 * region belongs to that one.
 */
public final class Corrections {
  /** Listens to a stretch of the take. */
  public interface Hearing {
    /**
     * What is heard between other bounds.
     *
     * @param was what was heard there before; null for nothing
     * @param start first frame
     * @param onset frame of the onset
     * @param end first frame after it
     */
    Region hear(Region was, long start, long onset, long end) throws IOException;
  }

  private final Take take;
  private final int sampleRate;
  private final long frames;
  private final Hearing hearing;
  private final List<SheetProblem> warnings;
  private final List<Corrected> all = new ArrayList<>();

  private Corrections(
      Take take, int sampleRate, long frames, Hearing hearing, List<SheetProblem> warnings) {
    this.take = take;
    this.sampleRate = sampleRate;
    this.frames = frames;
    this.hearing = hearing;
    this.warnings = warnings;
  }

  /**
   * Finds the region of each fix that names a time.
   *
   * @param heard the regions of the take
   * @param decided the same as `keep` and `drop` decide on them
   * @param sampleRate of the take, in hertz
   * @param frames of the take
   * @param warnings receives fixes that fit no region
   */
  public static Corrections of(
      Take take,
      List<Region> heard,
      List<Region> decided,
      int sampleRate,
      long frames,
      Hearing hearing,
      List<SheetProblem> warnings)
      throws IOException {
    Corrections corrections = new Corrections(take, sampleRate, frames, hearing, warnings);
    for (int i = 0; i < heard.size(); i++) {
      corrections.all.add(new Corrected(heard.get(i), decided.get(i)));
    }
    for (int order = 0; order < take.fixes().size(); order++) {
      Fix fix = take.fixes().get(order);
      if (fix.isByTime()) {
        corrections.addByTime(order, fix);
      }
    }
    corrections.all.sort(Comparator.comparing(one -> one.bounds().start()));
    return corrections;
  }

  private void addByTime(int order, Fix fix) throws IOException {
    Corrected found = at(fix.atS());
    boolean isOther =
        found != null && isBounded(fix) && found.isBounded() && isApart(fix, found.correction());
    if ((found == null || isOther) && isBounded(fix) && move(null, fix, fix.correction())) {
      all.get(all.size() - 1).add(order, fix);
    } else if (found == null) {
      warnings.add(warning(fix, missed(fix)));
    } else if (!isOther) {
      found.add(order, fix);
      if (fix.correction().movesBounds()) {
        move(found, fix, found.correction());
      }
    }
  }

  private static boolean isBounded(Fix fix) {
    return fix.correction().startS() != null && fix.correction().endS() != null;
  }

  private static boolean isApart(Fix fix, Correction other) {
    return fix.correction().startS() >= other.endS() || fix.correction().endS() <= other.startS();
  }

  /** The region at a time: first as it lies now, then as it was heard. */
  private Corrected at(double seconds) {
    long frame = Math.round(seconds * sampleRate);
    for (Corrected one : all) {
      if (holds(one.bounds(), frame)) {
        return one;
      }
    }
    return all.stream()
        .filter(one -> one.isHeard() && holds(one.heard(), frame))
        .findFirst()
        .orElse(null);
  }

  private static boolean holds(Region region, long frame) {
    return frame >= region.start() && frame < region.end();
  }

  /**
   * Moves a region to the bounds that a person gives, or adds one.
   *
   * @param of the region; null for a new one
   * @return whether there is a sound between them
   */
  private boolean move(Corrected of, Fix fix, Correction to) throws IOException {
    Region was = of == null ? null : of.heard() == null ? of.bounds() : of.heard();
    long start = to.startS() == null ? was.start() : frame(to.startS());
    long end = to.endS() == null ? was.end() : frame(to.endS());
    long leadIn = Math.round(take.leadInMs() / 1000 * sampleRate);
    long onset = to.startS() == null ? was.onset() : start + leadIn;
    if (onset >= end) {
      warnings.add(
          warning(
              fix,
              Problem.invalid(
                  "",
                  String.format(
                      Locale.ROOT,
                      "would make the region of %s from %.2f to %.2f s, which holds nothing but its"
                          + " lead-in or lies behind the end of the take",
                      take.name(),
                      (double) start / sampleRate,
                      (double) end / sampleRate),
                  "correct `start_s` or `end_s`")));
      return false;
    }
    Region moved = hearing.hear(was, start, onset, end);
    if (of == null) {
      all.add(new Corrected(null, moved));
    } else {
      of.moveTo(moved);
    }
    return true;
  }

  private long frame(double seconds) {
    return Math.min(frames, Math.round(seconds * sampleRate));
  }

  /** The regions as they are to be matched, in the order of the take. */
  public List<Region> regions() {
    List<Region> regions = new ArrayList<>();
    for (Corrected one : all) {
      Region region = one.region();
      boolean isPart =
          !one.hasFixes() && all.stream().anyMatch(other -> other != one && absorbs(other, region));
      regions.add(isPart ? region.marked(true, Flags.with(region.flags(), Flag.DROPPED)) : region);
    }
    return regions;
  }

  private static boolean absorbs(Corrected other, Region region) {
    return other.correction().movesBounds()
        && other.bounds().start() <= region.start()
        && other.bounds().end() >= region.end();
  }

  /**
   * What a person says that each region is.
   *
   * @param cells what the take should hold; what fits none of them is said, and says nothing
   */
  public List<CellName> named(List<Cell> cells) {
    List<CellName> names = new ArrayList<>();
    for (Corrected one : all) {
      CellName name = one.cell();
      if (!name.isAny() && cells.stream().noneMatch(name::fits)) {
        warnings.add(
            warning(
                one.lastFix(),
                Problem.invalid(
                    "",
                    "says what the region of "
                        + take.name()
                        + " at "
                        + seconds(one.bounds().onset())
                        + " is, but the take asks for no such note, dynamic and round robin",
                    "correct it, or the take's `notes`, `dynamics` and `round_robins`")));
        name = CellName.ANY;
      }
      names.add(name);
    }
    return names;
  }

  /**
   * Drops the regions of each fix that does so by their cells.
   *
   * @return whether there is any, so that other regions may fill these cells
   */
  public boolean dropByCell(List<Cell> cells, Matching matching) throws IOException {
    return addByCell(cells, matching, true);
  }

  /** Finds the regions of each other fix that names cells. */
  public void addByCell(List<Cell> cells, Matching matching) throws IOException {
    addByCell(cells, matching, false);
  }

  private boolean addByCell(List<Cell> cells, Matching matching, boolean drops) throws IOException {
    boolean any = false;
    for (int order = 0; order < take.fixes().size(); order++) {
      Fix fix = take.fixes().get(order);
      boolean isDrop = fix.correction().verdict() == Verdict.DROP;
      if (fix.isByTime() || fix.acceptsMissing() || isDrop != drops) {
        continue;
      }
      boolean found = false;
      for (int i = 0; i < all.size(); i++) {
        int cell = matching.cells()[i];
        if (matching.statuses().get(i) == CellStatus.KEPT && fix.cell().fits(cells.get(cell))) {
          Corrected one = all.get(i);
          found = true;
          any = true;
          one.add(order, fix);
          if (fix.correction().movesBounds()) {
            move(one, fix, one.correction());
          }
        }
      }
      if (!found) {
        warnings.add(warning(fix, unfilled(fix, cells, matching)));
      }
    }
    return any;
  }

  /** All corrections, a region each. */
  public List<Correction> all() {
    return all.stream().map(Corrected::correction).toList();
  }

  /**
   * The regions once they are matched: what a fix keeps is not marked for it, as a person has
   * looked at it already, and the ends that a person put stay.
   *
   * @param matched the regions with further marks and with ends that bars or other round robins ask
   *     for
   */
  public List<Region> finished(List<Region> matched) {
    List<Region> finished = new ArrayList<>();
    for (int i = 0; i < all.size(); i++) {
      Corrected one = all.get(i);
      Region region = matched.get(i);
      if (one.correction().endS() != null) {
        region =
            region
                .until(one.bounds().end())
                .marked(region.rejected(), Flags.without(region.flags(), Flag.SHORT_OF_BARS));
      }
      if (one.isKeptByFix()) {
        region = region.marked(region.rejected(), Flags.without(region.flags(), Flag.FORCED));
      }
      finished.add(region);
    }
    return finished;
  }

  /** Reports fixes that a region without a sample gets nothing from. */
  public void sayUnplaced(Matching matching) {
    for (int i = 0; i < all.size(); i++) {
      Corrected one = all.get(i);
      CellStatus status = matching.statuses().get(i);
      if (!one.hasFixes() || status == CellStatus.KEPT) {
        continue;
      }
      String where =
          "is about the region of "
              + take.name()
              + " from "
              + seconds(one.bounds().start())
              + " to "
              + seconds(one.bounds().end());
      boolean isDropped = one.correction().verdict() == Verdict.DROP;
      if (one.isKeptByFix()) {
        warnings.add(
            warning(
                one.lastFix(),
                Problem.invalid(
                    "",
                    where
                        + (status == CellStatus.RETAKE
                            ? ", but another one is kept for the same cell"
                            : ", but the sheet asks for no further sample there"),
                    status == CellStatus.RETAKE
                        ? "drop the other one"
                        : "say which note, dynamic and round robin it is, or drop another one")));
      } else if (!isDropped && one.correction().verdict() != Verdict.AS_HEARD) {
        warnings.add(
            warning(
                one.lastFix(),
                Problem.invalid(
                    "", where + ", which is left out", "add `keep: yes` if it is a sample")));
      }
    }
  }

  /** Reports loops that a person puts where the sample is not. */
  public void sayLoops(List<Region> finished) {
    for (int i = 0; i < all.size(); i++) {
      LoopChoice loop = all.get(i).correction().loop();
      Region region = finished.get(i);
      if (loop != null
          && loop.isPlaced()
          && (Math.round(loop.startS() * sampleRate) < region.start()
              || Math.round(loop.endS() * sampleRate) > region.end())) {
        warnings.add(
            warning(
                all.get(i).lastFix(),
                Problem.invalid(
                    "",
                    String.format(
                        Locale.ROOT,
                        "puts a loop from %.2f to %.2f s, outside of its region from %s to %s",
                        loop.startS(),
                        loop.endS(),
                        seconds(region.start()),
                        seconds(region.end())),
                    "correct `loop_s`")));
      }
    }
  }

  private Problem missed(Fix fix) {
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
    String where =
        String.format(
            Locale.ROOT, "is about %s s, where %s has no region", number(fix.atS()), take.name());
    return nearest == null
        ? Problem.invalid("", where + " nor any other sound", "take it out")
        : Problem.invalid(
            "",
            where
                + "; the nearest is from "
                + seconds(nearest.start())
                + " to "
                + seconds(nearest.end()),
            "correct `at`, or give both `start_s` and `end_s`");
  }

  private Problem unfilled(Fix fix, List<Cell> cells, Matching matching) {
    if (cells.stream().noneMatch(fix.cell()::fits)) {
      return Problem.invalid(
          "",
          "names a cell that " + take.name() + " is not asked for",
          "correct its `note`, `dynamic` and `rr`");
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
    return Problem.invalid(
        "",
        "names a cell that no region of "
            + take.name()
            + " fills"
            + (nearest < 0
                ? ""
                : "; the nearest is from "
                    + seconds(all.get(nearest).bounds().start())
                    + " to "
                    + seconds(all.get(nearest).bounds().end())),
        "give `at`, a time inside its region");
  }

  private String seconds(long frame) {
    return String.format(Locale.ROOT, "%.2f s", (double) frame / sampleRate);
  }

  private static String number(double seconds) {
    return seconds == Math.rint(seconds) ? String.valueOf((long) seconds) : String.valueOf(seconds);
  }

  private static SheetProblem warning(Fix fix, Problem problem) {
    return new SheetProblem(
        SheetProblem.Severity.WARNING,
        fix.place().line(),
        new Problem(Reason.INPUT_INVALID, "", fix.place(), problem.what(), problem.remedy()));
  }
}
