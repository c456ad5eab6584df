package takewright.library;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;
import takewright.segment.Region;

/**
 * Finds a take that was played in another order than its sheet says. Notes then still fill cells,
 * but the wrong ones: better said than found out by ear.
 */
final class PlayedOrder {
  // Costs of a path count as in Matcher; a take as planned costs 0.5 a cell (a level one spread
  // off), more with many retakes and missing notes.

  /** Cost a cell below which a take fits its order. */
  private static final double FITS = 1.2;

  /** Another order is meant if it costs less than this share of the sheet's own, */
  private static final double CLEARLY = 0.5;

  /** and so much less that chance does not make it. */
  private static final double LEAST_BETTER = 12;

  /** Cost a cell above which a take that fits no order is worth a word. */
  private static final double FITS_NOTHING = 2.5;

  /** Fewer cells than this tell nothing about an order. */
  private static final int FEWEST = 4;

  private PlayedOrder() {}

  /**
   * What to say about the order of a take; null where it was played as the sheet says.
   *
   * @param regions those of the take
   * @param own how they match the sheet
   * @param sampleRate of the take, in hertz
   */
  static Problem doubt(Sheet sheet, Take take, List<Region> regions, Matching own, int sampleRate) {
    int cells = take.cellCount();
    long played = regions.stream().filter(r -> !r.rejected()).count();
    if (cells < FEWEST || played < FEWEST || own.cost() < FITS * cells) {
      return null;
    }
    double least = Double.POSITIVE_INFINITY;
    Take best = null;
    for (Take other : others(take)) {
      double cost = Matcher.match(regions, sheet.cells(other), sampleRate).cost();
      if (cost < least) {
        least = cost;
        best = other;
      }
    }
    double startS = (double) regions.get(own.breaksAt()).onset() / sampleRate;
    String where =
        String.format(
            Locale.ROOT,
            "%s: from %.1f s on what was played does not fit the order %s",
            take.name(),
            startS,
            words(take.order()));
    int line = take.orderLine() > 0 ? take.orderLine() : take.line();
    if (best != null && least < CLEARLY * own.cost() && own.cost() - least > LEAST_BETTER) {
      return Problem.warning(line, where + remedy(take, best));
    }
    // Notes that are merely missing or too many fit the order, as far as there are any.
    int strangers = Math.max(1, Math.abs(cells - (int) played));
    return own.cost() - 4 * strangers > FITS_NOTHING * cells
        ? Problem.warning(
            line, where + " and no other; look at what its rows in the index say was heard")
        : null;
  }

  private static String remedy(Take take, Take best) {
    boolean order = !best.order().equals(take.order());
    boolean reversed = !best.notes().equals(take.notes());
    return "; it would fit "
        + (order ? words(best.order()) : "the notes the other way round")
        + (order && reversed ? " with the notes the other way round" : "")
        + "; "
        + (order ? (take.orderLine() > 0 ? "change" : "set") + " `order`" : "")
        + (order && reversed ? " and " : "")
        + (reversed ? "turn `notes` round" : "")
        + " if it was played so";
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
