package takewright.library.match;

import java.util.List;
import java.util.stream.Collectors;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.name.NoteNames;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;

/**
 * A plan that what was played fits much better than the one in the sheet.
 *
 * @param difference in what it differs
 * @param take the take as the sheet has it
 * @param fits the take as it would fit
 * @param semitones of a shift: how far the sound lies above the sheet; 0 otherwise
 * @param evidence what was heard, as a clause
 */
public record OtherPlan(
    Difference difference, Take take, Take fits, int semitones, String evidence) {
  /** What of a plan may be wrong. */
  public enum Difference {
    /** All notes lie the same distance above or below the sheet's. */
    SHIFT,
    /** Other notes were played. */
    NOTES,
    /** Each note was played more or less often. */
    ROUND_ROBINS,
    /** The dynamics were played in another order. */
    DYNAMICS,
    /** Notes, dynamics and round robins changed in another order. */
    ORDER
  }

  /** Octaves by which middle C can be called another. */
  private static final int LOWEST_MIDDLE_C = 3;

  private static final int HIGHEST_MIDDLE_C = 5;

  /**
   * What to say where a sheet does not fit: about its `middle_c` where all takes lie the same
   * octaves away, else about the first take.
   *
   * @param plans what was found of each take that does not fit, at least one
   * @param pitched how many takes could have been found to be shifted
   */
  public static SheetProblem problem(Sheet sheet, List<OtherPlan> plans, int pitched) {
    OtherPlan first = plans.get(0);
    NoteNames names = sheet.naming().noteNames();
    int middleC = names.middleC() - first.semitones / 12;
    boolean isOctave =
        first.difference == Difference.SHIFT
            && first.semitones % 12 == 0
            && middleC >= LOWEST_MIDDLE_C
            && middleC <= HIGHEST_MIDDLE_C
            && plans.size() == pitched
            && plans.stream().allMatch(plan -> plan.semitones == first.semitones);
    if (isOctave) {
      int line = sheet.middleCLine() > 0 ? sheet.middleCLine() : first.take.line();
      return doubt(
          line,
          "middle_c",
          "may not be right: " + first.evidence,
          "set middle_c: C" + middleC + ", with which it would fit");
    }
    return first.problem(names);
  }

  /** The same as a build says it that stops for it. */
  public static SheetProblem stopping(SheetProblem doubt) {
    Problem problem = doubt.problem();
    return SheetProblem.error(
        doubt.line(),
        new Problem(
            problem.reason(),
            problem.field(),
            problem.what(),
            problem.remedy() + ", or build it as it is with `as_written`"));
  }

  private SheetProblem problem(NoteNames names) {
    String doubt = "may not be right: " + evidence;
    return switch (difference) {
      case SHIFT, NOTES ->
          doubt(
              take.lines().orTake(take.lines().notes()),
              "notes",
              doubt,
              "write notes: " + words(fits.notes(), names) + ", which would fit");
      case ROUND_ROBINS ->
          doubt(
              take.lines().orTake(take.lines().roundRobins()),
              "round_robins",
              doubt,
              "write round_robins: " + fits.roundRobins());
      case DYNAMICS ->
          doubt(
              take.lines().orTake(take.lines().dynamics()),
              "dynamics",
              doubt,
              "write dynamics: " + fits.dynamics() + ", as they were played");
      case ORDER ->
          doubt(
              take.lines().orTake(take.lines().order()),
              "order",
              doubt,
              PlayedOrder.change(take, fits));
    };
  }

  private static SheetProblem doubt(int line, String key, String what, String remedy) {
    return new SheetProblem(
        SheetProblem.Severity.WARNING, line, new Problem(Reason.PLAN_DOUBTED, key, what, remedy));
  }

  /** Notes as a sheet writes them: as a range, with a step or as a list. */
  static String words(List<Integer> notes, NoteNames names) {
    int step = notes.size() < 2 ? 0 : notes.get(1) - notes.get(0);
    for (int i = 1; i < notes.size(); i++) {
      step = notes.get(i) - notes.get(i - 1) == step ? step : 0;
    }
    if (step == 0 || notes.size() < 3) {
      return notes.stream().map(names::spell).collect(Collectors.joining(", ", "[", "]"));
    }
    return names.spell(notes.get(0))
        + ".."
        + names.spell(notes.get(notes.size() - 1))
        + (Math.abs(step) == 1 ? "" : "/" + Math.abs(step));
  }
}
