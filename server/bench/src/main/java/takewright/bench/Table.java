package takewright.bench;

import java.util.ArrayList;
import java.util.List;

/** A table, as text in columns or as Markdown. */
final class Table {
  private final String title;
  private final List<String[]> rows = new ArrayList<>();

  Table(String title, String... head) {
    this.title = title;
    rows.add(head.clone());
  }

  /** Adds a row, of as many cells as the head has. */
  Table row(String... cells) {
    if (cells.length != rows.get(0).length) {
      throw new IllegalArgumentException(
          cells.length + " cells in a table of " + rows.get(0).length + " columns");
    }
    rows.add(cells.clone());
    return this;
  }

  String render(boolean markdown) {
    int columns = rows.get(0).length;
    int[] width = new int[columns];
    for (String[] row : rows) {
      for (int c = 0; c < columns; c++) {
        width[c] = Math.max(width[c], row[c].length());
      }
    }
    StringBuilder out = new StringBuilder();
    out.append(markdown ? "## " + title + "\n\n" : title + "\n");
    for (int r = 0; r < rows.size(); r++) {
      String[] row = rows.get(r);
      StringBuilder line = new StringBuilder();
      for (int c = 0; c < columns; c++) {
        // The first column is words, the others are figures.
        String pad = " ".repeat(width[c] - row[c].length());
        String cell = c == 0 ? row[c] + pad : pad + row[c];
        line.append(markdown ? "| " + cell + " " : cell + (c < columns - 1 ? "  " : ""));
      }
      out.append(markdown ? line + "|" : line.toString().stripTrailing()).append('\n');
      if (markdown && r == 0) {
        out.append("| --- ").append("| ---: ".repeat(columns - 1)).append("|\n");
      }
    }
    return out.toString();
  }

  /** Three significant digits, as much as a measurement of time is worth. */
  static String figure(double value) {
    if (!Double.isFinite(value)) {
      return "-";
    }
    double size = Math.abs(value);
    if (size >= 100 || size == 0) {
      return String.format(java.util.Locale.ROOT, "%.0f", value);
    }
    return String.format(
        java.util.Locale.ROOT, size >= 10 ? "%.1f" : size >= 1 ? "%.2f" : "%.3f", value);
  }
}
