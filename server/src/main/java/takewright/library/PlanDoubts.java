package takewright.library;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import takewright.library.match.OtherPlan;
import takewright.library.match.PlanSearch;
import takewright.library.take.CutTake;
import takewright.library.take.Remembered;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;

/** Whether what was heard in the takes of a sheet fits another plan much better. */
final class PlanDoubts {
  /**
   * Takes that fit their plan. A person's fixes of single regions do not make them doubtful, so
   * they are not judged again; that costs as much as all else that a build after a decision does.
   */
  private static final Remembered<Boolean> FIT = new Remembered<>(64);

  private PlanDoubts() {}

  /** A problem for each line of the sheet to change; empty where all fits. */
  static List<SheetProblem> of(Sheet sheet, List<CutTake> takes) throws IOException {
    List<OtherPlan> plans = new ArrayList<>();
    int judged = 0;
    for (CutTake cut : takes) {
      judged += PlanSearch.canBeJudged(cut.take()) ? 1 : 0;
      plans.addAll(plans(sheet, cut));
    }
    return plans.isEmpty() ? List.of() : OtherPlan.problems(sheet, plans, judged);
  }

  private static List<OtherPlan> plans(Sheet sheet, CutTake cut) throws IOException {
    Take take = cut.take();
    List<OtherPlan> found = new ArrayList<>();
    Object asked = List.of(take.withFixes(List.of()), CutTake.settings(sheet, take));
    FIT.getIf(
        Boolean::booleanValue,
        take.main(),
        asked,
        () -> {
          int rate = cut.segmentation().sampleRate();
          found.addAll(PlanSearch.findAll(sheet, take, cut.regions(), cut.matching(), rate));
          return found.isEmpty();
        });
    return found;
  }
}
