package takewright.library.folder;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import java.util.function.Function;
import takewright.diagnosis.Flag;
import takewright.diagnosis.FlagPlace;
import takewright.pitch.Kind;
import takewright.sheet.cell.CellStatus;

/**
 * The index of a library as CSV. Numbers have a point and a fixed number of decimals: seconds 6,
 * which is finer than a frame at 192 kHz, milliseconds 1, cents and decibels 2.
 */
public final class IndexCsv {
  private static final Column<IndexRow, String> FILE = text("file", IndexRow::file);
  private static final Column<IndexRow, String> ARTICULATION =
      text("articulation", r -> r.cell().articulation());
  private static final Column<IndexRow, Kind> KIND =
      Column.of("kind", ColumnFormat.word(Kind.class), r -> r.cell().kind());
  private static final Column<IndexRow, String> LAYER = text("layer", r -> r.cell().layer());
  private static final Column<IndexRow, String> NOTE = text("note", r -> r.cell().note());
  private static final Column<IndexRow, Integer> MIDI =
      Column.of("midi", ColumnFormat.midi(0), r -> r.cell().midi());
  private static final Column<IndexRow, Double> CENTS_BEFORE =
      decimal("cents_before", 2, r -> r.measures().cents().before());
  private static final Column<IndexRow, Double> CENTS_AFTER =
      decimal("cents_after", 2, r -> r.measures().cents().after());
  private static final Column<IndexRow, Double> CENTS_UNCERTAINTY =
      decimal("cents_uncertainty", 2, r -> r.measures().centsUncertainty());
  private static final Column<IndexRow, String> DYNAMIC = text("dynamic", r -> r.cell().dynamic());
  private static final Column<IndexRow, Integer> RR =
      Column.of("rr", ColumnFormat.COUNT, r -> r.cell().rr());
  private static final Column<IndexRow, String> TAKE = text("take", r -> r.stretch().take());
  private static final Column<IndexRow, Double> START_S =
      decimal("start_s", 6, r -> r.stretch().startS());
  private static final Column<IndexRow, Double> ONSET_S =
      decimal("onset_s", 6, r -> r.stretch().onsetS());
  private static final Column<IndexRow, Double> END_S =
      decimal("end_s", 6, r -> r.stretch().endS());
  private static final Column<IndexRow, Double> LEVEL_LUFS =
      decimal("level_lufs", 2, r -> r.measures().levelLufs());
  private static final Column<IndexRow, Double> PEAK_DBTP =
      decimal("peak_dbtp", 2, r -> r.measures().peakDbtp());
  private static final Column<IndexRow, Double> FLOOR_BEFORE_DBFS =
      decimal("floor_before_dbfs", 2, r -> r.measures().floorDbfs().before());
  private static final Column<IndexRow, Double> FLOOR_AFTER_DBFS =
      decimal("floor_after_dbfs", 2, r -> r.measures().floorDbfs().after());
  private static final Column<IndexRow, Double> GAIN_DB =
      decimal("gain_db", 2, r -> r.measures().gainDb());
  private static final Column<IndexRow, Long> LOOP_START =
      Column.of("loop_start", ColumnFormat.FRAME, r -> r.loop().start());
  private static final Column<IndexRow, Long> LOOP_END =
      Column.of("loop_end", ColumnFormat.FRAME, r -> r.loop().end());
  private static final Column<IndexRow, Double> RELEASE_MS =
      decimal("release_ms", 1, r -> r.loop().releaseMs());
  private static final Column<IndexRow, CellStatus> STATUS =
      Column.of("status", ColumnFormat.word(CellStatus.class), IndexRow::status);
  private static final Column<IndexRow, Set<Flag>> FLAGS =
      Column.of("flags", ColumnFormat.FLAGS, IndexRow::flags);
  private static final Column<IndexRow, List<FlagPlace>> FLAGS_AT =
      Column.of("flags_at", ColumnFormat.PLACES, IndexRow::places);
  private static final Column<IndexRow, String> LOOP_REASON =
      text("loop_reason", r -> r.loop().reason());
  private static final Column<IndexRow, String> ID = text("id", IndexRow::id);
  private static final Column<IndexRow, Double> LEVEL_CURVE_LUFS =
      decimal("level_curve_lufs", 2, r -> r.measures().levelCurveLufs());

  private static final Table<IndexRow> TABLE =
      new Table<>(
          List.of(
              FILE,
              ARTICULATION,
              KIND,
              LAYER,
              NOTE,
              MIDI,
              CENTS_BEFORE,
              CENTS_AFTER,
              DYNAMIC,
              RR,
              TAKE,
              START_S,
              ONSET_S,
              END_S,
              LEVEL_LUFS,
              PEAK_DBTP,
              FLOOR_BEFORE_DBFS,
              FLOOR_AFTER_DBFS,
              GAIN_DB,
              LOOP_START,
              LOOP_END,
              RELEASE_MS,
              STATUS,
              FLAGS,
              LOOP_REASON,
              LEVEL_CURVE_LUFS,
              CENTS_UNCERTAINTY,
              ID,
              FLAGS_AT),
          IndexCsv::row);

  /** The columns, in their order. */
  public static final List<String> COLUMNS = TABLE.header();

  private IndexCsv() {}

  /** The rows with their header, as the bytes of a file. */
  public static byte[] write(List<IndexRow> rows) {
    return TABLE.write(rows);
  }

  /**
   * Reads an index; its columns may stand in any order, and others among them are skipped.
   *
   * @throws IOException if it is not an index; the message names the file, the line and what is
   *     wrong
   */
  public static List<IndexRow> read(Path file) throws IOException {
    return TABLE.read(file);
  }

  private static IndexRow row(Table.Line line) {
    Set<Flag> flags = line.get(FLAGS);
    List<FlagPlace> places = line.get(FLAGS_AT);
    return new IndexRow(
        line.get(ID),
        line.get(FILE),
        new IndexCell(
            line.get(ARTICULATION),
            line.get(KIND),
            line.get(LAYER),
            line.get(NOTE),
            line.get(MIDI),
            line.get(DYNAMIC),
            line.get(RR)),
        new Stretch(line.get(TAKE), line.get(START_S), line.get(ONSET_S), line.get(END_S)),
        new Measures(
            new BeforeAfter(line.get(CENTS_BEFORE), line.get(CENTS_AFTER)),
            line.get(CENTS_UNCERTAINTY),
            new BeforeAfter(line.get(FLOOR_BEFORE_DBFS), line.get(FLOOR_AFTER_DBFS)),
            line.get(LEVEL_LUFS),
            line.get(PEAK_DBTP),
            line.get(GAIN_DB),
            line.get(LEVEL_CURVE_LUFS)),
        new LoopAndRelease(
            line.get(LOOP_START),
            line.get(LOOP_END),
            null,
            line.get(RELEASE_MS),
            line.get(LOOP_REASON)),
        line.require(STATUS),
        flags == null ? Set.of() : flags,
        places == null ? List.of() : places);
  }

  private static Column<IndexRow, String> text(String name, Function<IndexRow, String> get) {
    return Column.of(name, ColumnFormat.TEXT, get);
  }

  private static Column<IndexRow, Double> decimal(
      String name, int places, Function<IndexRow, Double> get) {
    return Column.of(name, ColumnFormat.decimal(places), get);
  }
}
