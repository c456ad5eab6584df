package takewright.library.match;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
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
 * @param shift how far all notes lie from the sheet's; null unless they do
 * @param evidence what was heard, as a clause
 */
public record OtherPlan(Difference difference, Take take, Take fits, Shift shift, String evidence) {
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
   * A distance between what is heard and the sheet's notes.
   *
   * @param semitones how far the sound lies above the sheet
   * @param agree sounds that lie so
   * @param sounds of these all
   */
  record Shift(int semitones, int agree, int sounds) {
    /** The nearest distance in whole octaves, in semitones. */
    int octaves() {
      return 12 * Math.round(semitones / 12f);
    }

    /** What was heard, as a clause; the distance may be told without its octaves. */
    String evidence(String take, int told) {
      return String.format(
          Locale.ROOT,
          "%severything sounds %d semitone%s %s the sheet (%d of %d sounds of %s)",
          agree == sounds ? "" : "nearly ",
          Math.abs(told),
          Math.abs(told) == 1 ? "" : "s",
          told > 0 ? "above" : "below",
          agree,
          sounds,
          take);
    }
  }

  static OtherPlan shifted(Take take, Take fits, Shift shift) {
    String evidence = shift.evidence(take.name(), shift.semitones());
    return new OtherPlan(Difference.SHIFT, take, fits, shift, evidence);
  }

  static OtherPlan other(Difference difference, Take take, Take fits, String evidence) {
    return new OtherPlan(difference, take, fits, null, evidence);
  }

  /**
   * What to say where a sheet does not fit, a problem for each line to change: its `middle_c` where
   * all takes lie the same octaves away, then what is wrong with each take beyond it.
   *
   * @param plans what was found of the takes that do not fit, at least one
   * @param pitched how many takes could have been found to be shifted
   */
  public static List<SheetProblem> problems(Sheet sheet, List<OtherPlan> plans, int pitched) {
    NoteNames names = sheet.naming().noteNames();
    OtherPlan octave = octave(names, plans, pitched);
    List<SheetProblem> problems = new ArrayList<>();
    if (octave != null) {
      int middleC = names.middleC() - octave.shift.semitones / 12;
      int line = sheet.middleCLine() > 0 ? sheet.middleCLine() : octave.take.line();
      problems.add(
          doubt(
              line,
              "middle_c",
              "may not be right: " + octave.evidence,
              "set middle_c: C"
                  + middleC
                  // Of one take alone, nobody can tell which of the two was meant.
                  + (pitched > 1
                      ? ", with which it would fit"
                      : " or write notes: "
                          + words(octave.fits.notes(), names)
                          + ", either of which would fit")));
      names = new NoteNames(middleC, names.flats(), names.sharpSign());
    }
    for (OtherPlan plan : plans) {
      int explained = octave == null ? 0 : octave.shift.semitones;
      boolean isExplained =
          plan.shift == null ? plan.isPartOf(explained) : plan.shift.semitones == explained;
      if (!isExplained) {
        problems.add(plan.problem(names, plan.shift == null ? 0 : explained));
      }
    }
    return problems;
  }

  /** The plan of a take that lies whole octaves away, as all do; null if they do not. */
  private static OtherPlan octave(NoteNames names, List<OtherPlan> plans, int pitched) {
    List<OtherPlan> shifted = plans.stream().filter(plan -> plan.shift != null).toList();
    List<OtherPlan> whole =
        shifted.stream().filter(plan -> plan.shift.semitones % 12 == 0).toList();
    if (whole.isEmpty()) {
      return null;
    }
    OtherPlan first = whole.get(0);
    long partly = plans.stream().filter(plan -> plan.isPartOf(first.shift.semitones)).count();
    if (shifted.size() + partly != pitched || whole.size() + partly <= pitched / 2) {
      return null;
    }
    int middleC = names.middleC() - first.shift.semitones / 12;
    boolean isShared =
        middleC >= LOWEST_MIDDLE_C
            && middleC <= HIGHEST_MIDDLE_C
            && shifted.stream().allMatch(plan -> plan.shift.octaves() == first.shift.semitones);
    return isShared ? first : null;
  }

  /** Whether each note of the take is one of the sheet, moved by this many semitones. */
  private boolean isPartOf(int semitones) {
    return difference == Difference.NOTES
        && fits.notes().stream().allMatch(midi -> take.notes().contains(midi - semitones));
  }

  /** The same as a build says it that stops for them: one line with all that is to be changed. */
  public static SheetProblem stopping(List<SheetProblem> doubts) {
    SheetProblem first = doubts.get(0);
    Problem problem = first.problem();
    StringBuilder remedy = new StringBuilder(problem.remedy());
    for (SheetProblem more : doubts.subList(1, doubts.size())) {
      remedy
          .append("; on line ")
          .append(more.line())
          .append(" `")
          .append(more.problem().field())
          .append("` ")
          .append(more.problem().what())
          .append("; ")
          .append(more.problem().remedy());
    }
    remedy.append(doubts.size() > 1 ? "; or build it as it is" : ", or build it as it is");
    return SheetProblem.error(
        first.line(),
        new Problem(
            problem.reason(), problem.field(), problem.what(), remedy + " with `as_written`"));
  }

  /**
   * @param explained semitones of a shift that another line explains
   */
  private SheetProblem problem(NoteNames names, int explained) {
    String heard =
        explained == 0
            ? evidence
            : "with that, " + shift.evidence(take.name(), shift.semitones - explained);
    String doubt = "may not be right: " + heard;
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

  /** Notes as a sheet writes them: as a range, or as a list of ranges and notes. */
  static String words(List<Integer> notes, NoteNames names) {
    List<String> runs = new ArrayList<>();
    for (int from = 0; from < notes.size(); ) {
      int step = from + 1 < notes.size() ? notes.get(from + 1) - notes.get(from) : 0;
      int to = from;
      while (to + 1 < notes.size() && notes.get(to + 1) - notes.get(to) == step) {
        to++;
      }
      if (to - from < 2) {
        // Two notes are no range; the second may begin one.
        runs.add(names.spell(notes.get(from)));
        from++;
      } else {
        runs.add(
            names.spell(notes.get(from))
                + ".."
                + names.spell(notes.get(to))
                + (Math.abs(step) == 1 ? "" : "/" + Math.abs(step)));
        from = to + 1;
      }
    }
    boolean isRange = runs.size() == 1 && notes.size() > 1;
    return isRange ? runs.get(0) : "[" + String.join(", ", runs) + "]";
  }
}
