package takewright.name;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvSchema;
import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * The names that every client must come to as well, written down by hand in {@code
 * shared/naming-vectors.csv}. Column {@code check}: "format" (facts to name), "parse" (name to
 * facts), "both", or "refused" (facts or pattern that give no name). An empty fact is not given.
 */
class NamingVectorsTest {
  private static final Path VECTORS = Path.of("..", "shared", "naming-vectors.csv");

  static List<Map<String, String>> vectors() throws IOException {
    try (var rows =
        new CsvMapper()
            .readerForMapOf(String.class)
            .with(CsvSchema.emptySchema().withHeader())
            .<Map<String, String>>readValues(VECTORS.toFile())) {
      return rows.readAll();
    }
  }

  @ParameterizedTest
  @MethodSource("vectors")
  void holds(Map<String, String> row) {
    String check = row.get("check");
    NameFacts facts =
        new NameFacts(
            text(row, "library"),
            text(row, "articulation"),
            text(row, "layer"),
            number(row, "midi"),
            text(row, "dynamic"),
            number(row, "rr"));
    if (check.equals("refused")) {
      assertThrows(IllegalArgumentException.class, () -> Name.format(facts, style(row)));
      return;
    }
    if (!check.equals("parse")) {
      assertEquals(row.get("name"), Name.format(facts, style(row)));
    }
    if (!check.equals("format")) {
      assertEquals(facts, Name.parse(row.get("name"), style(row)));
    }
  }

  private static NamingStyle style(Map<String, String> row) {
    int middleC = Integer.parseInt(row.get("middle_c").substring(1));
    boolean flats = row.get("accidentals").equals("flat");
    return new NamingStyle(
        NamePattern.of(row.get("pattern")), new NoteNames(middleC, flats, row.get("sharp_sign")));
  }

  private static String text(Map<String, String> row, String column) {
    return row.get(column).isEmpty() ? null : row.get(column);
  }

  private static Integer number(Map<String, String> row, String column) {
    return row.get(column).isEmpty() ? null : Integer.valueOf(row.get(column));
  }
}
