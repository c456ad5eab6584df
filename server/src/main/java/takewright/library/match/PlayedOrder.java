package takewright.library.match;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import java.util.stream.Collectors;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;

/**
 * Finds a take that was played in another order than its sheet says, where notes would fill the
 * wrong cells.
 */
public final class PlayedOrder {
  /** Another order is meant if it costs less than this share of the sheet's own, */
  private static final double CLEARLY = 0.5;

  /** and so much less that chance does not make it. */
  private static final double MIN_COST_SAVED = 12;

  /** Cost a cell above which a take that fits no order is worth a word. */
  private static final double FITS_NOTHING = 2.5;

  /** Where another order saves more for each cell, names would surely be wrong. */
  private static final double SURE_EACH = 1;

  /** Fewer cells show no order. */
  private static final int MIN_CELLS = 4;

  private PlayedOrder() {}

  /**
   * Another order that fits clearly better.
   *
   * @param take the take in that order
   * @param evidence from where on the sheet's own order does not fit, as a predicate of `order`
   * @param isSure whether names would surely be wrong
   */
  record Fit(Take take, String evidence, boolean isSure) {}

  /** The order that fits clearly better than the sheet's own; null if there is none. */
  static Fit best(Sheet sheet, Take take, List<Region> regions, Matching own, int sampleRate) {
    int cells = take.cellCount();
    if (cells < MIN_CELLS || own.cost() < CheapestPath.FITS * cells) {
      return null;
    }
    Matching fits = own;
    Take best = take;
    for (Take other : others(take)) {
      Matching matching = TakeAlignment.match(regions, sheet.cells(other), sampleRate);
      if (matching.cost() < fits.cost()) {
        fits = matching;
        best = other;
      }
    }
    if (fits.cost() >= CLEARLY * own.cost() || own.cost() - fits.cost() <= MIN_COST_SAVED) {
      return null;
    }
    // Notes that come late may fill their cells by luck: neither alone finds the first.
    int parts =
        Math.min(own.breaksAt(), firstOther(sheet.cells(take), own, sheet.cells(best), fits));
    boolean isSure =
        fits.cost() < CheapestPath.FITS * cells && own.cost() - fits.cost() > SURE_EACH * cells;
    return new Fit(best, misfit(take, regions.get(parts), sampleRate), isSure);
  }

  /**
   * What to say about the order of a take; null if it was played as the sheet says.
   *
   * @param regions those of the take
   * @param own how they match the sheet
   * @param sampleRate of the take, in hertz
   */
  public static SheetProblem doubt(
      Sheet sheet, Take take, List<Region> regions, Matching own, int sampleRate) {
    int cells = take.cellCount();
    long played = regions.stream().filter(r -> !r.rejected()).count();
    if (cells < MIN_CELLS || played < MIN_CELLS || own.cost() < CheapestPath.FITS * cells) {
      return null;
    }
    int line = take.lines().orTake(take.lines().order());
    Fit fit = best(sheet, take, regions, own, sampleRate);
    if (fit != null) {
      return SheetProblem.warning(line, "order", fit.evidence(), remedy(take, fit.take()));
    }
    // Notes that are merely missing or too many fit the order, as far as there are any.
    int strangers = Math.max(1, Math.abs(cells - (int) played));
    return own.cost() - 4 * strangers > FITS_NOTHING * cells
        ? SheetProblem.warning(
            line,
            "order",
            misfit(take, regions.get(own.breaksAt()), sampleRate) + ", and no other order either",
            "look at what its rows in the index say was heard")
        : null;
  }

  /** The first region that is another cell in one order than in the other. */
  private static int firstOther(List<Cell> cells, Matching a, List<Cell> others, Matching b) {
    for (int i = 0; i < a.cells().length; i++) {
      Cell one = a.cells()[i] < 0 ? null : cells.get(a.cells()[i]);
      Cell other = b.cells()[i] < 0 ? null : others.get(b.cells()[i]);
      if (!Objects.equals(one, other)) {
        return i;
      }
    }
    return 0;
  }

  private static String misfit(Take take, Region region, int sampleRate) {
    return String.format(
        Locale.ROOT,
        "of %s is %3$s, which does not fit what was played from %2$.1f s on",
        take.name(),
        (double) region.onset() / sampleRate,
        words(take.order()));
  }

  private static String remedy(Take take, Take best) {
    return "if it was played so, " + change(take, best) + ", which would fit";
  }

  /** What to change in the sheet for a take to be played through in another way. */
  static String change(Take take, Take best) {
    boolean order = !best.order().equals(take.order());
    boolean reversed = !best.notes().equals(take.notes());
    return (order
            ? (take.lines().order() > 0 ? "change" : "set") + " `order` to " + words(best.order())
            : "")
        + (order && reversed ? " and " : "")
        + (reversed ? "turn `notes` round" : "");
  }

  private static String words(List<Take.Axis> order) {
    return order.stream()
        .map(axis -> axis.name().toLowerCase(Locale.ROOT))
        .collect(Collectors.joining(", ", "[", "]"));
  }

  /** All other ways to play through a take, those least unlike first. */
  private static List<Take> others(Take take) {
    List<Integer> reversed = new ArrayList<>(take.notes());
    Collections.reverse(reversed);
    List<List<Take.Axis>> orders = new ArrayList<>();
    orders.add(take.order());
    for (Take.Axis slowest : Take.Axis.values()) {
      for (Take.Axis next : Take.Axis.values()) {
        for (Take.Axis fastest : Take.Axis.values()) {
          List<Take.Axis> order = List.of(slowest, next, fastest);
          if (order.stream().distinct().count() == 3 && !orders.contains(order)) {
            orders.add(order);
          }
        }
      }
    }
    List<Take> others = new ArrayList<>();
    for (List<Take.Axis> order : orders) {
      others.add(take.played(take.notes(), order));
    }
    if (reversed.size() > 1) {
      for (List<Take.Axis> order : orders) {
        others.add(take.played(reversed, order));
      }
    }
    others.remove(0);
    return others;
  }
}
