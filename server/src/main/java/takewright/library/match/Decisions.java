package takewright.library.match;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.segment.Region;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.decision.Decision;

/** Applies the sheet's `keep` and `drop` to the regions of a take. */
public final class Decisions {
  private Decisions() {}

  /**
   * The regions with what was decided about them; what hits no region is said in {@code warnings}.
   *
   * @param sampleRate of the take, in hertz
   */
  public static List<Region> apply(
      Take take, List<Region> regions, int sampleRate, List<SheetProblem> warnings) {
    List<Region> decided = new ArrayList<>(regions);
    for (Decision decision : take.decisions()) {
      boolean hit = false;
      for (int i = 0; i < regions.size(); i++) {
        Region region = regions.get(i);
        if (!decision.hits(
            (double) region.start() / sampleRate, (double) region.end() / sampleRate)) {
          continue;
        }
        hit = true;
        boolean contradicted =
            decided.get(i).flags().contains(decision.keep() ? Flag.DROPPED : Flag.FORCED);
        if (contradicted) {
          // A dropped region stays out: too few samples are easier to correct than too many.
          warnings.add(
              SheetProblem.warning(
                  decision.line(),
                  decision.key(),
                  String.format(
                      Locale.ROOT,
                      "holds the region of %s from %.2f to %.2f s, which is both kept and dropped;"
                          + " it is dropped",
                      take.name(),
                      (double) region.start() / sampleRate,
                      (double) region.end() / sampleRate),
                  "take one of them out"));
        }
        decided.set(i, mark(region, contradicted || !decision.keep()));
      }
      if (!hit) {
        warnings.add(miss(decision, take, regions, sampleRate));
      }
    }
    return decided;
  }

  private static Region mark(Region region, boolean dropped) {
    Flag flag = dropped ? Flag.DROPPED : Flag.FORCED;
    return region.marked(dropped, Flags.with(region.flags(), flag));
  }

  private static SheetProblem miss(
      Decision decision, Take take, List<Region> regions, int sampleRate) {
    Region nearest = null;
    for (Region region : regions) {
      if (nearest == null
          || distance(decision, region, sampleRate) < distance(decision, nearest, sampleRate)) {
        nearest = region;
      }
    }
    if (nearest == null) {
      return SheetProblem.warning(
          decision.line(),
          decision.key(),
          "names " + decision.text() + ", but no sound was found in " + take.name(),
          "take it out");
    }
    return SheetProblem.warning(
        decision.line(),
        decision.key(),
        String.format(
            Locale.ROOT,
            "names %s, where %s has no region; the nearest is from %.2f to %.2f s",
            decision.text(),
            take.name(),
            (double) nearest.start() / sampleRate,
            (double) nearest.end() / sampleRate),
        "correct the time");
  }

  private static double distance(Decision decision, Region region, int sampleRate) {
    return decision.distance(
        (double) region.start() / sampleRate, (double) region.end() / sampleRate);
  }

  /** Reports regions that a person keeps but for which there is no cell. */
  public static void sayUnplaced(
      Take take,
      List<Region> regions,
      Matching matching,
      int sampleRate,
      List<SheetProblem> warnings) {
    for (int i = 0; i < regions.size(); i++) {
      Region region = regions.get(i);
      CellStatus status = matching.statuses().get(i);
      if (!region.flags().contains(Flag.FORCED) || status == CellStatus.KEPT) {
        continue;
      }
      double startS = (double) region.start() / sampleRate;
      double endS = (double) region.end() / sampleRate;
      int line = 0;
      for (Decision decision : take.decisions()) {
        if (decision.keep() && decision.hits(startS, endS)) {
          line = decision.line();
        }
      }
      if (line == 0) {
        // A fix keeps it, which is said elsewhere.
        continue;
      }
      warnings.add(
          SheetProblem.warning(
              line,
              "keep",
              String.format(
                  Locale.ROOT,
                  "names the region of %s from %.2f to %.2f s, but %s",
                  take.name(),
                  startS,
                  endS,
                  status == CellStatus.RETAKE
                      ? "another one for the same cell is kept as well"
                      : "the sheet asks for no further sample there"),
              status == CellStatus.RETAKE
                  ? "keep one of them"
                  : "correct notes, dynamics or round_robins, or drop another region"));
    }
  }
}
