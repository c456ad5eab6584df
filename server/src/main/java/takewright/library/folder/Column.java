package takewright.library.folder;

import java.util.function.Function;
import takewright.diagnosis.SettingException;

/**
 * One column of a table, declared once: its name, where its value comes from, and how the value is
 * written and read.
 *
 * @param <R> what a row is
 * @param <T> what a cell is
 * @param name the name in the header
 * @param get the value of a row; null if it is not known
 * @param format how a value is written and read
 * @param isRequired whether a table without it cannot be read
 */
record Column<R, T>(String name, Function<R, T> get, ColumnFormat<T> format, boolean isRequired) {
  /** What to do about a table that cannot be read. */
  static final String REMEDY = "build the library again";

  static <R, T> Column<R, T> of(String name, ColumnFormat<T> format, Function<R, T> get) {
    return new Column<>(name, get, format, true);
  }

  /** A column that a table may lack when it is read: what a row is follows from the others. */
  static <R, T> Column<R, T> optional(String name, ColumnFormat<T> format, Function<R, T> get) {
    return new Column<>(name, get, format, false);
  }

  String write(R row) {
    T value = get.apply(row);
    return value == null ? "" : format.write().apply(value);
  }

  /**
   * The value that a cell's text stands for; null for an empty one.
   *
   * @throws SettingException if the text is no such value
   */
  T read(String text) {
    if (text.isEmpty()) {
      return null;
    }
    try {
      return format.read().apply(text);
    } catch (IllegalArgumentException e) {
      throw new SettingException(
          name, "is \"" + text + "\", which is not " + format.says(), REMEDY);
    }
  }
}
