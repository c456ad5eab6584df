package takewright.library.folder;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.MappingIterator;
import com.fasterxml.jackson.dataformat.csv.CsvGenerator;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvParser;
import java.io.IOException;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.diagnosis.SettingException;
import takewright.map.Zone;
import takewright.name.NoteNames;

/** The key map of a library as CSV (RFC 4180, UTF-8, a header, lines ended by a line feed). */
public final class MapCsv {
  /** What mends a map, which nobody writes by hand. */
  private static final String AGAIN = "build the library again";

  /** Its name in an output folder. */
  public static final String FILE = "map.csv";

  /** The columns, in their order. */
  public static final List<String> COLUMNS =
      List.of(
          "file",
          "articulation",
          "layer",
          "dynamic",
          "note",
          "root",
          "low_key",
          "high_key",
          "low_velocity",
          "high_velocity",
          "rr",
          "rr_count",
          "gain_db",
          "loop_start",
          "loop_end",
          "release_ms");

  private static final CsvMapper CSV =
      CsvMapper.builder()
          .enable(CsvParser.Feature.WRAP_AS_ARRAY)
          .enable(CsvParser.Feature.SKIP_EMPTY_LINES)
          .enable(CsvGenerator.Feature.STRICT_CHECK_FOR_QUOTING)
          .build();

  private MapCsv() {}

  /** The zones with their header, as the bytes of a file; {@code names} spells their roots. */
  public static byte[] write(List<Zone> zones, NoteNames names) {
    List<Object> lines = new ArrayList<>(zones.size() + 1);
    lines.add(COLUMNS);
    for (Zone z : zones) {
      lines.add(
          new Object[] {
            z.file(),
            z.articulation(),
            z.layer(),
            z.dynamic(),
            names.spell(z.root()),
            z.root(),
            z.lowKey(),
            z.highKey(),
            z.lowVelocity(),
            z.highVelocity(),
            z.rr(),
            z.rrCount(),
            decimal(z.gainDb(), 2),
            z.loopStart() == null ? "" : z.loopStart(),
            z.loopEnd() == null ? "" : z.loopEnd(),
            decimal(z.releaseMs(), 1)
          });
    }
    try {
      return CSV.writer(CSV.schema()).writeValueAsBytes(lines);
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("text could not be written as CSV", e);
    }
  }

  private static BigDecimal decimal(double value, int places) {
    return BigDecimal.valueOf(value).setScale(places, RoundingMode.HALF_EVEN);
  }

  /**
   * Reads a key map; its columns may stand in any order, and others among them are skipped.
   *
   * @param folder the output folder of a build
   * @throws IOException if there is none or it is not one; the message says what to do
   */
  public static List<Zone> read(Path folder) throws IOException {
    Path file = folder.resolve(FILE);
    if (!Files.exists(file)) {
      throw new FileProblemException(
          Reason.NOT_THERE, folder.toString(), "has no key map", "build the library again");
    }
    List<Zone> zones = new ArrayList<>();
    int line = 1;
    try (MappingIterator<String[]> records =
        CSV.readerFor(String[].class).readValues(file.toFile())) {
      if (!records.hasNextValue()) {
        throw new SettingException("", "is empty", AGAIN);
      }
      List<String> header = Arrays.asList(records.nextValue());
      while (records.hasNextValue()) {
        line = records.getCurrentLocation().getLineNr();
        zones.add(zone(header, records.nextValue()));
      }
    } catch (SettingException e) {
      throw new FileProblemException(e.problem().at(FILE, line), e);
    } catch (JsonProcessingException e) {
      Problem problem = Problem.invalid("", "is not CSV: " + e.getOriginalMessage(), AGAIN);
      throw new FileProblemException(problem.at(FILE, line), e);
    }
    return zones;
  }

  private static Zone zone(List<String> header, String[] cells) {
    return new Zone(
        text(header, cells, "file"),
        text(header, cells, "articulation"),
        text(header, cells, "layer"),
        text(header, cells, "dynamic"),
        whole(header, cells, "root", 0),
        whole(header, cells, "low_key", 0),
        whole(header, cells, "high_key", 0),
        whole(header, cells, "low_velocity", 1),
        whole(header, cells, "high_velocity", 1),
        (int) number(header, cells, "rr"),
        (int) number(header, cells, "rr_count"),
        number(header, cells, "gain_db"),
        frame(header, cells, "loop_start"),
        frame(header, cells, "loop_end"),
        number(header, cells, "release_ms"));
  }

  private static String text(List<String> header, String[] cells, String column) {
    int place = header.indexOf(column);
    if (place < 0) {
      throw new SettingException(column, "is missing", AGAIN);
    }
    return place < cells.length ? cells[place] : "";
  }

  private static double number(List<String> header, String[] cells, String column) {
    String text = text(header, cells, column);
    try {
      return new BigDecimal(text).doubleValue();
    } catch (NumberFormatException e) {
      throw new SettingException(column, "is not a number: \"" + text + "\"", AGAIN);
    }
  }

  private static int whole(List<String> header, String[] cells, String column, int min) {
    double value = number(header, cells, column);
    if (!(value >= min && value <= 127)) {
      throw new SettingException(column, "is " + value + ", and must be " + min + " to 127", AGAIN);
    }
    return (int) value;
  }

  private static Long frame(List<String> header, String[] cells, String column) {
    return text(header, cells, column).isEmpty() ? null : (long) number(header, cells, column);
  }
}
