package takewright.library.folder;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.Flag;
import takewright.diagnosis.FlagPlace;
import takewright.pitch.Kind;
import takewright.sheet.cell.CellStatus;
import takewright.testing.Outside;

class IndexCsvTest {
  private static final IndexRow KEPT =
      new IndexRow(
          "a-1244",
          "sustain/Larkfell_sustain_close_C#4_p_rr1.wav",
          new IndexCell("sustain", Kind.PITCHED, "close", "C#4", 61, "p", 1),
          new Stretch("a, b \"c\".wav", 1.234567, 1.244567, 12345.0),
          new Measures(
              new BeforeAfter(-12.34, 0.05),
              0.7,
              new BeforeAfter(-62.0, Double.NEGATIVE_INFINITY),
              -23.1,
              -6.02,
              1.5,
              -23.0),
          new LoopAndRelease(24_000L, 48_000L, null, 350.5, ""),
          CellStatus.KEPT,
          Set.of(Flag.IN_TAIL, Flag.CLIPPED, Flag.DISTURBED),
          List.of(
              new FlagPlace(Flag.CLIPPED, 2, 2.5), new FlagPlace(Flag.DISTURBED, 62.125, 3600.5)));
  private static final IndexRow MISSING =
      new IndexRow(
          "hit-mf-rr3",
          null,
          new IndexCell("hit", Kind.UNPITCHED, "close", null, null, "mf", 3),
          Stretch.nowhere("hits.wav"),
          Measures.NONE,
          new LoopAndRelease(null, null, null, null, "timbre"),
          CellStatus.MISSING,
          Set.of(),
          List.of());

  @TempDir Path folder;

  private Path write(String text) throws IOException {
    return Files.writeString(folder.resolve("index.csv"), text);
  }

  /** The columns: the design's contract; the quoting: RFC 4180, section 2. */
  @Test
  void writesTheContractsColumns() {
    assertEquals(
        """
        file,articulation,kind,layer,note,midi,cents_before,cents_after,dynamic,rr,take,start_s,onset_s,end_s,level_lufs,peak_dbtp,floor_before_dbfs,floor_after_dbfs,gain_db,loop_start,loop_end,release_ms,status,flags,loop_reason,level_curve_lufs,cents_uncertainty,id,flags_at
        sustain/Larkfell_sustain_close_C#4_p_rr1.wav,sustain,pitched,close,C#4,61,-12.34,0.05,p,1,"a, b ""c"".wav",1.234567,1.244567,12345.000000,-23.10,-6.02,-62.00,-inf,1.50,24000,48000,350.5,kept,clipped in_tail disturbed,,-23.00,0.70,a-1244,clipped@2.000-2.500 disturbed@62.125-3600.500
        ,hit,unpitched,close,,,,,mf,3,hits.wav,,,,,,,,,,,,missing,,timbre,,,hit-mf-rr3,
        """,
        new String(IndexCsv.write(List.of(KEPT, MISSING)), StandardCharsets.UTF_8));
  }

  @Test
  void readsBackWhatItWrote() throws IOException {
    Locale before = Locale.getDefault();
    Locale.setDefault(Locale.GERMANY);
    try {
      Path file = folder.resolve("index.csv");
      Files.write(file, IndexCsv.write(List.of(KEPT, MISSING)));
      assertEquals(List.of(KEPT, MISSING), IndexCsv.read(file));
      Files.write(file, IndexCsv.write(List.of()));
      assertEquals(List.of(), IndexCsv.read(file));
    } finally {
      Locale.setDefault(before);
    }
  }

  @Test
  void valuesThatRoundToNothingHaveNoSign() {
    IndexRow row =
        new IndexRow(
            "",
            null,
            new IndexCell(null, null, null, null, null, null, null),
            Stretch.nowhere(null),
            new Measures(
                new BeforeAfter(-0.001, -0.0),
                null,
                BeforeAfter.UNKNOWN,
                Double.NaN,
                null,
                null,
                null),
            LoopAndRelease.NONE,
            CellStatus.EXTRA,
            Set.of(),
            List.of());
    assertTrue(
        new String(IndexCsv.write(List.of(row)), StandardCharsets.UTF_8)
            .contains("\n,,,,,,0.00,0.00,,,,,,,,,,,,,,,extra,,,,,,\n"));
  }

  @Test
  void readsColumnsInAnyOrderAmongOthers() throws IOException {
    List<String> columns = new java.util.ArrayList<>(IndexCsv.COLUMNS);
    java.util.Collections.reverse(columns);
    String header = "remark," + String.join(",", columns);
    Path file = write(header + "\r\nx,,,,,,,retake" + ",".repeat(18) + "C4,,,,s.wav\r\n");
    List<IndexRow> rows = IndexCsv.read(file);
    assertEquals(1, rows.size());
    assertEquals(CellStatus.RETAKE, rows.get(0).status());
  }

  @Test
  void saysWhereAnIndexIsWrong() throws IOException {
    String good = new String(IndexCsv.write(List.of(KEPT, MISSING)), StandardCharsets.UTF_8);
    refused(good.replace("gain_db", "gain"), "index.csv:1: `gain_db` is missing");
    refused(good.replace("missing,", "lost,"), "index.csv:3: `status` is \"lost\"");
    refused(good.replace("missing,", ","), "index.csv:3: `status` is empty");
    refused(good.replace("-12.34", "flat"), "index.csv:2: `cents_before` is \"flat\"");
    refused(good.replace("in_tail", "loud"), "index.csv:2: `flags` is \"clipped loud disturbed\"");
    refused(
        good.replace("clipped@2.000-2.500", "clipped@2.000"),
        "index.csv:2: `flags_at` is \"clipped@2.000 disturbed");
    refused("", "index.csv:1: is empty");
  }

  private void refused(String text, String message) throws IOException {
    Path file = write(text);
    var e = assertThrows(IOException.class, () -> IndexCsv.read(file));
    assertTrue(e.getMessage().startsWith(message), e.getMessage());
  }

  /** Python's own csv module, another reader of RFC 4180, sees the same cells. */
  @Test
  void anotherReaderSeesTheSameCells() throws Exception {
    Path python = Outside.python();
    Path file = folder.resolve("index.csv");
    Files.write(file, IndexCsv.write(List.of(KEPT, MISSING)));
    String program =
        "import csv,sys; r=list(csv.DictReader(open(sys.argv[1], newline='')));"
            + "print(len(r), r[0]['take'], r[0]['note'], float(r[0]['floor_after_dbfs']),"
            + " r[1]['status'], r[1]['rr'], repr(r[1]['flags']))";
    Process process =
        new ProcessBuilder(python.toString(), "-c", program, file.toString())
            .redirectErrorStream(true)
            .start();
    String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertEquals(0, process.waitFor(), said);
    assertEquals("2 a, b \"c\".wav C#4 -inf missing 3 ''", said.strip());
  }
}
