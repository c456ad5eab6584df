package takewright.library.folder;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.MappingIterator;
import com.fasterxml.jackson.dataformat.csv.CsvGenerator;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvParser;
import java.io.IOException;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.function.Function;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.pitch.Kind;
import takewright.sheet.CellStatus;

/**
 * The index of a library as CSV (RFC 4180, UTF-8, a header, lines ended by a line feed). Numbers
 * have a point and a fixed number of decimals: seconds 6, which is finer than a frame at 192 kHz,
 * milliseconds 1, cents and decibels 2. Nothing stands for what is not known, "-inf" for the level
 * of silence.
 */
public final class IndexCsv {
  /** The columns, in their order. */
  public static final List<String> COLUMNS =
      List.of(
          "file",
          "articulation",
          "kind",
          "layer",
          "note",
          "midi",
          "cents_before",
          "cents_after",
          "dynamic",
          "rr",
          "take",
          "start_s",
          "onset_s",
          "end_s",
          "level_lufs",
          "peak_dbtp",
          "floor_before_dbfs",
          "floor_after_dbfs",
          "gain_db",
          "loop_start",
          "loop_end",
          "release_ms",
          "status",
          "flags",
          "loop_reason",
          "level_curve_lufs");

  private static final CsvMapper CSV =
      CsvMapper.builder()
          .enable(CsvParser.Feature.WRAP_AS_ARRAY)
          .enable(CsvParser.Feature.SKIP_EMPTY_LINES)
          .enable(CsvGenerator.Feature.STRICT_CHECK_FOR_QUOTING)
          .build();

  private IndexCsv() {}

  /** The rows with their header, as the bytes of a file. */
  public static byte[] write(List<IndexRow> rows) {
    List<Object> lines = new ArrayList<>(rows.size() + 1);
    lines.add(COLUMNS);
    for (IndexRow row : rows) {
      lines.add(cells(row));
    }
    try {
      return CSV.writer(CSV.schema()).writeValueAsBytes(lines);
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("text could not be written as CSV", e);
    }
  }

  private static String[] cells(IndexRow row) {
    return new String[] {
      text(row.file()),
      text(row.articulation()),
      row.kind() == null ? "" : row.kind().word(),
      text(row.layer()),
      text(row.note()),
      text(row.midi()),
      decimal(row.centsBefore(), 2),
      decimal(row.centsAfter(), 2),
      text(row.dynamic()),
      text(row.rr()),
      text(row.take()),
      decimal(row.startS(), 6),
      decimal(row.onsetS(), 6),
      decimal(row.endS(), 6),
      decimal(row.levelLufs(), 2),
      decimal(row.peakDbtp(), 2),
      decimal(row.floorBeforeDbfs(), 2),
      decimal(row.floorAfterDbfs(), 2),
      decimal(row.gainDb(), 2),
      text(row.loopStart()),
      text(row.loopEnd()),
      decimal(row.releaseMs(), 1),
      row.status().word(),
      Flags.text(row.flags()),
      text(row.loopReason()),
      decimal(row.levelCurveLufs(), 2)
    };
  }

  private static String text(Object value) {
    return value == null ? "" : value.toString();
  }

  private static String decimal(Double value, int places) {
    if (value == null || value.isNaN()) {
      return "";
    }
    if (value.isInfinite()) {
      return value > 0 ? "inf" : "-inf";
    }
    return BigDecimal.valueOf(value).setScale(places, RoundingMode.HALF_EVEN).toPlainString();
  }

  /**
   * Reads an index; its columns may stand in any order, and others among them are skipped.
   *
   * @throws IOException if it is not an index; the message names the file, the line and what is
   *     wrong
   */
  public static List<IndexRow> read(Path file) throws IOException {
    List<IndexRow> rows = new ArrayList<>();
    int line = 1;
    try (MappingIterator<String[]> records =
        CSV.readerFor(String[].class).readValues(file.toFile())) {
      if (!records.hasNextValue()) {
        throw new IllegalArgumentException("is empty; build the library again");
      }
      int[] places = places(records.nextValue());
      while (records.hasNextValue()) {
        line = records.getCurrentLocation().getLineNr();
        rows.add(row(new Cells(records.nextValue(), places)));
      }
    } catch (IllegalArgumentException e) {
      throw new IOException(file.getFileName() + ":" + line + ": " + e.getMessage(), e);
    } catch (JsonProcessingException e) {
      throw new IOException(
          file.getFileName() + ": is not CSV: " + e.getOriginalMessage().replaceAll("\\s+", " "),
          e);
    }
    return rows;
  }

  private static int[] places(String[] header) {
    List<String> names = Arrays.asList(header);
    int[] places = new int[COLUMNS.size()];
    for (int i = 0; i < places.length; i++) {
      places[i] = names.indexOf(COLUMNS.get(i));
      if (places[i] < 0) {
        throw new IllegalArgumentException(
            "column `" + COLUMNS.get(i) + "` is missing; build the library again");
      }
    }
    return places;
  }

  /** The cells of one line, read in the order of {@link #COLUMNS}. */
  private static final class Cells {
    private final String[] cells;
    private final int[] places;
    private int next;

    Cells(String[] cells, int[] places) {
      this.cells = cells;
      this.places = places;
    }

    String text() {
      int place = places[next++];
      return place >= cells.length || cells[place].isEmpty() ? null : cells[place];
    }

    <T> T value(Function<String, T> reading) {
      String text = text();
      try {
        return text == null ? null : reading.apply(text);
      } catch (IllegalArgumentException e) {
        throw new IllegalArgumentException(
            "`" + COLUMNS.get(next - 1) + "` cannot be \"" + text + "\"; correct it", e);
      }
    }

    Double decimal() {
      return value(
          text ->
              switch (text) {
                case "inf" -> Double.POSITIVE_INFINITY;
                case "-inf" -> Double.NEGATIVE_INFINITY;
                default -> new BigDecimal(text).doubleValue();
              });
    }
  }

  private static IndexRow row(Cells cells) {
    IndexRow row =
        new IndexRow(
            cells.text(),
            cells.text(),
            cells.value(text -> Kind.valueOf(text.toUpperCase(Locale.ROOT))),
            cells.text(),
            cells.text(),
            cells.value(Integer::valueOf),
            cells.decimal(),
            cells.decimal(),
            cells.text(),
            cells.value(Integer::valueOf),
            cells.text(),
            cells.decimal(),
            cells.decimal(),
            cells.decimal(),
            cells.decimal(),
            cells.decimal(),
            cells.decimal(),
            cells.decimal(),
            cells.decimal(),
            cells.value(Long::valueOf),
            cells.value(Long::valueOf),
            cells.decimal(),
            cells.value(text -> CellStatus.valueOf(text.toUpperCase(Locale.ROOT))),
            flags(cells),
            cells.text(),
            cells.decimal());
    if (row.status() == null) {
      throw new IllegalArgumentException("`status` is empty; correct it");
    }
    return row;
  }

  private static Set<Flag> flags(Cells cells) {
    Set<Flag> flags = cells.value(Flags::parse);
    return flags == null ? Set.of() : flags;
  }
}
