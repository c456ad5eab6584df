package takewright.cli.table;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.function.Function;
import java.util.function.Predicate;
import java.util.function.ToDoubleFunction;

/**
 * One column of a table that a command prints, declared once: its name and its value.
 *
 * @param <R> what a row is
 * @param name the name in the header
 * @param get the value of a row: a text, a whole or rounded number, a list of words, or null where
 *     it is not known
 */
public record TableColumn<R>(String name, Function<R, Object> get) {
  /** A column whose value is always known. */
  public static <R> TableColumn<R> of(String name, Function<R, Object> get) {
    return new TableColumn<>(name, get);
  }

  /** A column whose value is empty in the rows that do not have it. */
  public static <R> TableColumn<R> of(String name, Predicate<R> isKnown, Function<R, Object> get) {
    return new TableColumn<>(name, row -> isKnown.test(row) ? get.apply(row) : null);
  }

  /**
   * A column of numbers.
   *
   * @param digits decimals to which it is rounded; a number that is not finite is not known
   */
  public static <R> TableColumn<R> of(String name, int digits, ToDoubleFunction<R> get) {
    return new TableColumn<>(name, row -> rounded(get.applyAsDouble(row), digits));
  }

  /** A column of numbers, empty in the rows that do not have it. */
  public static <R> TableColumn<R> of(
      String name, int digits, Predicate<R> isKnown, ToDoubleFunction<R> get) {
    return new TableColumn<>(
        name, row -> isKnown.test(row) ? rounded(get.applyAsDouble(row), digits) : null);
  }

  /**
   * The same column in another table.
   *
   * @param part what a row of that table has of this one; null where it has nothing, which leaves
   *     the cell empty
   */
  public <S> TableColumn<S> within(Function<S, R> part) {
    return new TableColumn<>(
        name,
        row -> {
          R there = part.apply(row);
          return there == null ? null : get.apply(there);
        });
  }

  private static BigDecimal rounded(double value, int digits) {
    return Double.isFinite(value)
        ? BigDecimal.valueOf(value).setScale(digits, RoundingMode.HALF_EVEN)
        : null;
  }
}
