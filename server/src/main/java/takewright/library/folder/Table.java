package takewright.library.folder;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.MappingIterator;
import com.fasterxml.jackson.dataformat.csv.CsvGenerator;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvParser;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Function;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;

/**
 * A table as CSV (RFC 4180, UTF-8, a header, lines ended by a line feed). What is not known is an
 * empty cell. When a table is read its columns may stand in any order, and others among them are
 * skipped.
 */
final class Table<R> {
  private static final CsvMapper CSV =
      CsvMapper.builder()
          .enable(CsvParser.Feature.WRAP_AS_ARRAY)
          .enable(CsvParser.Feature.SKIP_EMPTY_LINES)
          .enable(CsvGenerator.Feature.STRICT_CHECK_FOR_QUOTING)
          .build();

  private final List<Column<R, ?>> columns;
  private final Function<Line, R> row;

  /**
   * @param columns in the order in which they are written
   * @param row makes a row of a line
   */
  Table(List<Column<R, ?>> columns, Function<Line, R> row) {
    this.columns = List.copyOf(columns);
    this.row = row;
  }

  /** The names of the columns, in the order in which they are written. */
  List<String> header() {
    return columns.stream().map(Column::name).toList();
  }

  /** The rows with their header, as the bytes of a file. */
  byte[] write(List<R> rows) {
    List<List<String>> lines = new ArrayList<>(rows.size() + 1);
    lines.add(header());
    for (R of : rows) {
      lines.add(columns.stream().map(column -> column.write(of)).toList());
    }
    try {
      return CSV.writer(CSV.schema()).writeValueAsBytes(lines);
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("text could not be written as CSV", e);
    }
  }

  /**
   * Reads a table.
   *
   * @throws TableException if the file is not such a table; the message names the file, the line,
   *     what is wrong and the remedy
   * @throws IOException if it cannot be read at all
   */
  List<R> read(Path file) throws IOException {
    List<R> rows = new ArrayList<>();
    int line = 1;
    try (MappingIterator<String[]> records =
        CSV.readerFor(String[].class).readValues(file.toFile())) {
      if (!records.hasNextValue()) {
        throw new SettingException("", "is empty", Column.REMEDY);
      }
      Map<String, Integer> places = places(records.nextValue());
      while (records.hasNextValue()) {
        line = records.getCurrentLocation().getLineNr();
        rows.add(row.apply(new Line(records.nextValue(), places)));
      }
    } catch (SettingException e) {
      throw new FileProblemException(e.problem().at(file.getFileName().toString(), line), e);
    } catch (JsonProcessingException e) {
      Problem problem = Problem.invalid("", "is not CSV: " + e.getOriginalMessage(), Column.REMEDY);
      throw new FileProblemException(problem.at(file.getFileName().toString(), line), e);
    }
    return rows;
  }

  private Map<String, Integer> places(String[] header) {
    List<String> names = Arrays.asList(header);
    Map<String, Integer> places = new HashMap<>();
    for (Column<R, ?> column : columns) {
      int place = names.indexOf(column.name());
      if (place < 0 && column.isRequired()) {
        throw new SettingException(column.name(), "is missing", Column.REMEDY);
      }
      places.put(column.name(), place);
    }
    return places;
  }

  /** A line of a table that is being read. */
  static final class Line {
    private final String[] cells;
    private final Map<String, Integer> places;

    private Line(String[] cells, Map<String, Integer> places) {
      this.cells = cells;
      this.places = places;
    }

    /** The value in a column; null if the cell is empty or the table lacks the column. */
    <T> T get(Column<?, T> column) {
      int place = places.get(column.name());
      return column.read(place >= 0 && place < cells.length ? cells[place] : "");
    }

    /** The value in a column that has one in every line. */
    <T> T require(Column<?, T> column) {
      T value = get(column);
      if (value == null) {
        throw new SettingException(column.name(), "is empty", Column.REMEDY);
      }
      return value;
    }
  }
}
