package takewright.library.match;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import takewright.dsp.Medians;
import takewright.library.match.OtherPlan.Difference;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/** Dynamics that the sheet names in another order than they were played, told by their levels. */
final class OtherDynamics {
  /** Fewer notes show no habit. */
  private static final int MIN_NOTES = 6;

  /** At least this share of the notes must agree. */
  private static final double MOST = 0.9;

  /** The loudest dynamic is so much louder than the softest, in dB, */
  private static final double LOUDER_DB = 3;

  /** and each so much louder than the next softer one: a mezzo forte may lie near to a forte. */
  private static final double NEXT_DB = 1;

  /** What dynamics are called, softest first. Common practice. */
  private static final List<String> SOFTEST_FIRST =
      List.of("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff");

  private final Sheet sheet;
  private final Take take;
  private final List<Region> regions;
  private final Matching own;

  private OtherDynamics(Sheet sheet, Take take, List<Region> regions, Matching own) {
    this.sheet = sheet;
    this.take = take;
    this.regions = regions;
    this.own = own;
  }

  /**
   * The plan with the dynamics in the order in which they were played; null where that is the
   * sheet's, or the levels do not tell.
   *
   * @param own how the regions fill the sheet's own cells
   */
  static OtherPlan find(Sheet sheet, Take take, List<Region> regions, Matching own) {
    return new OtherDynamics(sheet, take, regions, own).find();
  }

  private OtherPlan find() {
    List<String> names = take.dynamics();
    if (names.size() < 2
        || !SOFTEST_FIRST.containsAll(names)
        || take.order().get(0) == Take.Axis.DYNAMIC) {
      // Of whole passes, each may have been recorded at another gain.
      return null;
    }
    Map<Integer, Map<String, Double>> levels = levels();
    List<String> byLevel = new ArrayList<>(names);
    byLevel.sort((a, b) -> Double.compare(usual(levels, a), usual(levels, b)));
    List<String> byName = new ArrayList<>(names);
    byName.sort((a, b) -> SOFTEST_FIRST.indexOf(a) - SOFTEST_FIRST.indexOf(b));
    if (byLevel.equals(byName) || !isAgreed(levels, byLevel)) {
      return null;
    }
    List<String> played = new ArrayList<>();
    names.forEach(name -> played.add(byName.get(byLevel.indexOf(name))));
    String evidence =
        String.format(
            Locale.ROOT,
            "in %s what the sheet calls %s is louder than what it calls %s",
            take.name(),
            byLevel.get(byLevel.size() - 1),
            byLevel.get(0));
    return OtherPlan.other(Difference.DYNAMICS, take, take.at(played), evidence);
  }

  /** The level of each note at each dynamic, in dBFS, of those notes that have all of them. */
  private Map<Integer, Map<String, Double>> levels() {
    Map<Integer, Map<String, List<Double>>> all = new TreeMap<>();
    List<Cell> cells = sheet.cells(take);
    for (int i = 0; i < regions.size(); i++) {
      int at = own.cells()[i];
      if (at >= 0 && own.statuses().get(i) == CellStatus.KEPT) {
        all.computeIfAbsent(cells.get(at).midi(), midi -> new TreeMap<>())
            .computeIfAbsent(cells.get(at).dynamic(), dynamic -> new ArrayList<>())
            .add(regions.get(i).levelDbfs());
      }
    }
    Map<Integer, Map<String, Double>> levels = new TreeMap<>();
    all.forEach(
        (midi, dynamics) -> {
          if (dynamics.size() == take.dynamics().size()) {
            Map<String, Double> ofNote = new TreeMap<>();
            dynamics.forEach((dynamic, some) -> ofNote.put(dynamic, Medians.of(some)));
            levels.put(midi, ofNote);
          }
        });
    return levels;
  }

  private static double usual(Map<Integer, Map<String, Double>> levels, String dynamic) {
    return Medians.of(levels.values().stream().map(ofNote -> ofNote.get(dynamic)).toList());
  }

  /** Whether most notes were played in this order of loudness, clearly each time. */
  private static boolean isAgreed(Map<Integer, Map<String, Double>> levels, List<String> byLevel) {
    int agree = 0;
    for (Map<String, Double> ofNote : levels.values()) {
      double whole = ofNote.get(byLevel.get(byLevel.size() - 1)) - ofNote.get(byLevel.get(0));
      boolean isSo = whole >= LOUDER_DB;
      for (int i = 1; i < byLevel.size(); i++) {
        isSo &= ofNote.get(byLevel.get(i)) - ofNote.get(byLevel.get(i - 1)) >= NEXT_DB;
      }
      agree += isSo ? 1 : 0;
    }
    return levels.size() >= MIN_NOTES && agree >= MOST * levels.size();
  }
}
