package takewright.library.folder;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Function;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Reason;
import takewright.map.VelocityRule;
import takewright.map.Zone;
import takewright.name.NoteNames;

/** The key map of a library as CSV. */
public final class MapCsv {
  /** Its name in an output folder. */
  public static final String FILE = "map.csv";

  /**
   * A line of the map.
   *
   * @param note how the zone's root is spelt; null where a map that was read does not say
   */
  private record MapLine(Zone zone, String note) {}

  private static final Column<MapLine, String> SAMPLE = text("file", Zone::file);
  private static final Column<MapLine, String> ARTICULATION =
      text("articulation", Zone::articulation);
  private static final Column<MapLine, String> LAYER = text("layer", Zone::layer);
  private static final Column<MapLine, String> DYNAMIC = text("dynamic", Zone::dynamic);
  private static final Column<MapLine, String> NOTE =
      Column.optional("note", ColumnFormat.TEXT, MapLine::note);
  private static final Column<MapLine, Integer> ROOT = midi("root", 0, Zone::root);
  private static final Column<MapLine, Integer> LOW_KEY = midi("low_key", 0, Zone::lowKey);
  private static final Column<MapLine, Integer> HIGH_KEY = midi("high_key", 0, Zone::highKey);
  private static final Column<MapLine, Integer> LOW_VELOCITY =
      midi("low_velocity", 1, Zone::lowVelocity);
  private static final Column<MapLine, Integer> HIGH_VELOCITY =
      midi("high_velocity", 1, Zone::highVelocity);
  private static final Column<MapLine, Integer> RR =
      Column.of("rr", ColumnFormat.COUNT, l -> l.zone().rr());
  private static final Column<MapLine, Integer> RR_COUNT =
      Column.of("rr_count", ColumnFormat.COUNT, l -> l.zone().rrCount());
  private static final Column<MapLine, Double> GAIN_DB =
      Column.of("gain_db", ColumnFormat.decimal(2), l -> l.zone().gainDb());
  private static final Column<MapLine, Long> LOOP_START =
      Column.of("loop_start", ColumnFormat.FRAME, l -> l.zone().loopStart());
  private static final Column<MapLine, Long> LOOP_END =
      Column.of("loop_end", ColumnFormat.FRAME, l -> l.zone().loopEnd());
  private static final Column<MapLine, Double> RELEASE_MS =
      Column.of("release_ms", ColumnFormat.decimal(1), l -> l.zone().releaseMs());

  private static final Column<MapLine, VelocityRule> VELOCITY_RULE =
      Column.optional(
          "velocity_rule", ColumnFormat.word(VelocityRule.class), l -> l.zone().velocityRule());

  private static final Table<MapLine> TABLE =
      new Table<>(
          List.of(
              SAMPLE,
              ARTICULATION,
              LAYER,
              DYNAMIC,
              NOTE,
              ROOT,
              LOW_KEY,
              HIGH_KEY,
              LOW_VELOCITY,
              HIGH_VELOCITY,
              RR,
              RR_COUNT,
              GAIN_DB,
              LOOP_START,
              LOOP_END,
              RELEASE_MS,
              VELOCITY_RULE),
          line -> new MapLine(zone(line), line.get(NOTE)));

  /** The columns, in their order. */
  public static final List<String> COLUMNS = TABLE.header();

  private MapCsv() {}

  /** The zones with their header, as the bytes of a file; {@code names} spells their roots. */
  public static byte[] write(List<Zone> zones, NoteNames names) {
    return TABLE.write(
        zones.stream().map(zone -> new MapLine(zone, names.spell(zone.root()))).toList());
  }

  /**
   * Reads a key map; its columns may stand in any order, and others among them are skipped.
   *
   * @param folder the output folder of a build
   * @throws IOException if there is none or it is not one; the message says what to do
   */
  public static LibraryMap read(Path folder) throws IOException {
    Path file = folder.resolve(FILE);
    if (!Files.exists(file)) {
      throw new FileProblemException(
          Reason.NOT_THERE, folder.toString(), "has no key map", "build the library again");
    }
    List<MapLine> lines = TABLE.read(file);
    Map<String, Integer> spelt = new HashMap<>();
    for (MapLine line : lines) {
      if (line.note() != null) {
        spelt.put(line.note(), line.zone().root());
      }
    }
    return new LibraryMap(lines.stream().map(MapLine::zone).toList(), NoteNames.of(spelt));
  }

  private static Zone zone(Table.Line line) {
    return new Zone(
        line.require(SAMPLE),
        line.require(ARTICULATION),
        line.require(LAYER),
        line.get(DYNAMIC) == null ? "" : line.get(DYNAMIC),
        line.require(ROOT),
        line.require(LOW_KEY),
        line.require(HIGH_KEY),
        line.require(LOW_VELOCITY),
        line.require(HIGH_VELOCITY),
        line.require(RR),
        line.require(RR_COUNT),
        line.require(GAIN_DB),
        line.get(LOOP_START),
        line.get(LOOP_END),
        line.require(RELEASE_MS),
        null);
  }

  private static Column<MapLine, String> text(String name, Function<Zone, String> get) {
    return Column.of(name, ColumnFormat.TEXT, line -> get.apply(line.zone()));
  }

  private static Column<MapLine, Integer> midi(String name, int min, Function<Zone, Integer> get) {
    return Column.of(name, ColumnFormat.midi(min), line -> get.apply(line.zone()));
  }
}
