package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvSchema;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;
import takewright.v1.BuildResult;

/** The commands, as a shell meets them. */
class MainTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;
  private Path note;

  private record Ran(int status, String out, String err) {
    List<Map<String, String>> rows() throws IOException {
      return new CsvMapper()
          .readerFor(Map.class)
          .with(CsvSchema.emptySchema().withHeader())
          .<Map<String, String>>readValues(out)
          .readAll();
    }
  }

  private static Ran run(Object... args) {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    String[] words = new String[args.length];
    for (int i = 0; i < args.length; i++) {
      words[i] = args[i].toString();
    }
    int status =
        Main.run(
            new PrintStream(out, true, StandardCharsets.UTF_8),
            new PrintStream(err, true, StandardCharsets.UTF_8),
            words);
    return new Ran(
        status, out.toString(StandardCharsets.UTF_8), err.toString(StandardCharsets.UTF_8));
  }

  /** Status 2, nothing on standard output, one line on standard error that holds these words. */
  private static void fails(Ran ran, String... words) {
    assertEquals(2, ran.status, ran.err);
    assertEquals("", ran.out);
    assertEquals(1, ran.err.lines().count(), ran.err);
    assertFalse(ran.err.contains("Exception"), ran.err);
    for (String word : words) {
      assertTrue(ran.err.contains(word), ran.err + " should speak of " + word);
    }
  }

  @BeforeEach
  void writeANote() throws IOException {
    folder = folder.toRealPath();
    note = folder.resolve("nöte, 1.wav");
    float[] samples = new float[2 * RATE];
    java.util.Random random = new java.util.Random(5);
    for (int i = 0; i < samples.length; i++) {
      double t = (double) i / RATE - 0.5;
      double tone =
          t < 0
              ? 0
              : Math.min(1, 100 * t)
                  * Math.exp(-6 * t)
                  * (0.2 * Math.sin(2 * Math.PI * 221 * t) + 0.1 * Math.sin(4 * Math.PI * 221 * t));
      samples[i] = (float) (tone + 1e-4 * random.nextGaussian());
    }
    WavWriter.write(note, Clip.of(RATE, samples), 24, WavChunks.NONE);
  }

  @Test
  void analyseHasItsColumnsAndARowAFile() throws IOException {
    Ran ran = run("analyse", note, note);
    assertEquals(0, ran.status, ran.err);
    assertEquals("", ran.err);
    List<String> header = List.of(ran.out.lines().findFirst().orElseThrow().split(","));
    assertTrue(
        header.containsAll(
            List.of(
                "file",
                "kind",
                "note",
                "midi",
                "cents",
                "confidence",
                "level_lufs",
                "peak_dbtp",
                "floor_dbfs",
                "flags")),
        ran.out);
    List<Map<String, String>> rows = ran.rows();
    assertEquals(2, rows.size());
    assertEquals(note.toString(), rows.get(0).get("file"));
    assertEquals("A3", rows.get(0).get("note"));
    assertEquals("57", rows.get(0).get("midi"));
    // 1200 log2(221/220)
    assertEquals(7.85, Double.parseDouble(rows.get(0).get("cents")), 1);
    assertEquals("pitched", rows.get(0).get("kind"));
  }

  @Test
  void oneBadFileDoesNotKeepTheOthersFromBeingMeasured() throws IOException {
    Path text = Files.writeString(folder.resolve("text.wav"), "not audio");
    Ran ran = run("analyse", text, note);
    assertEquals(2, ran.status);
    assertEquals(1, ran.rows().size());
    assertEquals(1, ran.err.lines().count(), ran.err);
    assertTrue(ran.err.contains("text.wav"), ran.err);
  }

  @Test
  void segmentHasItsColumnsAndJsonHasThemAsKeys() throws IOException {
    Ran csv = run("segment", note);
    assertEquals(0, csv.status, csv.err);
    List<String> columns =
        List.of(
            "start_frame",
            "onset_frame",
            "end_frame",
            "start_s",
            "onset_s",
            "end_s",
            "kind",
            "note",
            "midi",
            "cents",
            "confidence",
            "status",
            "flags");
    assertTrue(
        List.of(csv.out.lines().findFirst().orElseThrow().split(",")).containsAll(columns),
        csv.out);
    List<Map<String, String>> all = csv.rows();
    List<Map<String, String>> rows =
        all.stream().filter(row -> row.get("status").equals("kept")).toList();
    assertEquals(1, rows.size(), csv.out);
    assertEquals(0.5, Double.parseDouble(rows.get(0).get("onset_s")), 0.02);
    assertEquals(
        Long.parseLong(rows.get(0).get("onset_frame")) / (double) RATE,
        Double.parseDouble(rows.get(0).get("onset_s")),
        1e-6);
    JsonNode json = new ObjectMapper().readTree(run("segment", "--json", note).out);
    assertEquals(all.size(), json.size());
    for (String column : columns) {
      assertTrue(json.get(0).has(column), column);
    }
    assertEquals(
        Long.parseLong(rows.get(0).get("onset_frame")), json.get(0).get("onset_frame").asLong());
  }

  @Test
  void aTakeWithoutRegionsHasAHeaderAllTheSame() throws IOException {
    Path silence = folder.resolve("silence.wav");
    WavWriter.write(silence, Clip.of(RATE, new float[RATE]), 24, WavChunks.NONE);
    Ran csv = run("segment", silence);
    assertEquals(0, csv.status, csv.err);
    assertEquals(1, csv.out.lines().count(), csv.out);
    assertTrue(csv.out.startsWith("start_frame,"), csv.out);
    assertEquals(0, new ObjectMapper().readTree(run("segment", "--json", silence).out).size());
  }

  @Test
  void retuneAndDenoiseWriteAFile() throws IOException {
    Path tuned = folder.resolve("tuned.wav");
    Ran ran = run("retune", note, tuned);
    assertEquals(0, ran.status, ran.err);
    assertTrue(ran.out.contains("A3"), ran.out);
    assertEquals(0, Double.parseDouble(run("analyse", tuned).rows().get(0).get("cents")), 1.5);
    fails(run("retune", note, tuned), "OUT exists already", "set --replace");
    assertEquals(0, run("retune", "--replace", "--cents", "-10", note, tuned).status);
    ran = run("retune", "--replace", "--temperament", "quarter_comma_meantone", note, tuned);
    assertEquals(0, ran.status, ran.err);
    fails(
        run("retune", "--replace", "--temperament", "mean", note, tuned), "--temperament", "equal");
    ran = run("retune", "--replace", "--offsets-cents", "0,0,0,0,0,0,0,0,0,-25,0,0", note, tuned);
    assertEquals(0, ran.status, ran.err);
    assertEquals(-25, Double.parseDouble(run("analyse", tuned).rows().get(0).get("cents")), 1.5);
    assertEquals(0, run("retune", "--replace", "--steady-pitch", note, tuned).status);
    fails(
        run("retune", "--replace", "--steady-pitch", "--cents", "3", note, tuned),
        "is set together with --steady-pitch");
    Path clean = folder.resolve("clean.wav");
    Path removed = folder.resolve("removed.wav");
    ran = run("denoise", note, clean, "--removed", removed, "--amount-db", "12");
    assertEquals(0, ran.status, ran.err);
    try (AudioFile a = AudioFile.open(clean);
        AudioFile b = AudioFile.open(removed)) {
      assertEquals(2L * RATE, a.frames());
      assertEquals(2L * RATE, b.frames());
    }
    fails(run("denoise", note, note, "--replace"), "the input");
  }

  @Test
  void followsATakeAndSaysWhatIsMissing() throws IOException {
    Path sheet =
        Files.writeString(
            folder.resolve("follow.yaml"),
            "library: X\ntakes:\n  - {file: t.wav, articulation: sustain, notes: [A3, B3]}\n");
    Ran followed = run("follow", sheet, note, "--strict");
    assertEquals(1, followed.status(), followed::toString);
    assertTrue(followed.out().contains("A3"), followed::toString);
    assertTrue(followed.out().contains("missing 1, next B3"), followed::toString);
    fails(run("follow", sheet), "--pcm");
    fails(run("follow", sheet, "--pcm", "int12,48000,1"), "int24,48000,2");
    fails(run("follow", sheet, note, "--take", "other.wav"), "t.wav");
  }

  @Test
  void badUsageIsOneLineAndStatusTwo() {
    fails(run(), "no command given");
    fails(run("build"), "--help");
    fails(run("build", "sheet.yaml"), "--out");
    fails(run("frobnicate"), "frobnicate");
    fails(run("segment", "--kind", "loud", note), "--kind");
    fails(run("segment", "--lead-in-ms", "2000", note), "--lead-in-ms is 2000", "0 to 1000 ms");
    fails(run("segment", folder.resolve("no.wav")), "FILE does not exist", "no.wav");
    fails(run("analyse", "--server", "nowhere", note), "HOST:PORT");
    fails(
        run("analyse", "--server", "localhost:1", "--tls-ca", folder.resolve("no"), note),
        "--token-file");
    fails(
        run("check", "--server", "localhost:1", "--token-file", folder.resolve("no"), "x"),
        "takewright serve");
    fails(run("serve", "--host", "0.0.0.0", "--port", "0"), "TLS");
    fails(run("serve", "--port", "0", "--allow", folder.resolve("no")), "does not exist");
  }

  @Test
  void benchIsAnotherProgram() {
    fails(run("bench", "--markdown"), "./takewright bench");
    fails(run("dist", "--no-deb"), "./takewright dist");
  }

  @Test
  void analyseMeasuresMoreWhenAsked() throws IOException {
    assertEquals("", run("analyse", note).rows().get(0).get("attack_ms"));
    Map<String, String> row = run("analyse", "--detail", "full", note).rows().get(0);
    // The note begins half a second in and rises for 10 ms, of which 8 from a tenth to nine tenths.
    assertEquals(0.5, Double.parseDouble(row.get("onset_s")), 0.004);
    assertEquals(8, Double.parseDouble(row.get("attack_ms")), 4);
    assertEquals("0", row.get("clipped_tops"));
    assertEquals("A3", row.get("pitches"));
    assertEquals("", row.get("glide_from_hz"));
  }

  @Test
  void analyseGivesARowABlockWhenAsked() throws IOException {
    Ran ran = run("analyse", "--blocks", "100", note);
    assertEquals(0, ran.status, ran.err);
    List<Map<String, String>> rows = ran.rows();
    assertEquals(20, rows.size());
    assertEquals("", rows.get(2).get("note"));
    assertEquals("", rows.get(2).get("momentary_lufs"));
    assertEquals("33600", rows.get(6).get("end_frame"));
    assertEquals("A3", rows.get(6).get("note"));
    // The two partials of 0.2 and 0.1, at most, and with the first 10 ms and the decay past.
    double peak = Double.parseDouble(rows.get(6).get("peak_dbfs"));
    assertTrue(peak > -20 && peak < -10.5, "peak " + peak);
    assertEquals(2, run("analyse", "--blocks", "5", note).status);
  }

  @Test
  void auditNamesWhatIsWrongAndRenamesOnlyWhenTold() throws IOException {
    Path samples = Files.createDirectory(folder.resolve("samples"));
    Files.copy(note, samples.resolve("fen_G3.wav"));
    Ran ran = run("audit", samples);
    assertEquals(0, ran.status, ran.err);
    assertEquals("file,finding,says,sounds,detail", ran.out.lines().findFirst().orElseThrow());
    Map<String, String> row = ran.rows().get(0);
    assertEquals(
        List.of("fen_G3.wav", "wrong_note", "G3", "A3"),
        List.of(row.get("file"), row.get("finding"), row.get("says"), row.get("sounds")));
    assertTrue(ran.err.contains("1 wrong_note"), ran.err);
    assertEquals(1, run("audit", "--strict", samples).status);

    Ran planned = run("audit", "--fix-names", samples);
    assertEquals(0, planned.status, planned.err);
    assertTrue(planned.err.contains("rename fen_G3.wav -> fen_A3.wav"), planned.err);
    assertTrue(Files.exists(folder.resolve("samples-renames.csv")));
    assertTrue(Files.exists(samples.resolve("fen_G3.wav")));

    Ran applied = run("audit", "--fix-names", "--apply", samples);
    assertEquals(0, applied.status, applied.err);
    assertTrue(Files.exists(samples.resolve("fen_A3.wav")));
    Path undo = folder.resolve("samples-renames-undo.csv");
    assertTrue(applied.err.contains(undo.toString()), applied.err);
    assertEquals(0, run("audit", "--strict", samples).status);

    assertEquals(0, run("audit", samples, "--undo", undo).status);
    assertTrue(Files.exists(samples.resolve("fen_G3.wav")));
    fails(
        run("audit", samples, "--undo", undo), "samples-renames-undo.csv was carried out already");

    Ran again = run("audit", "--fix-names", "--apply", samples);
    assertEquals(0, again.status, again.err);
    assertTrue(again.err.contains("samples-renames-undo-2.csv"), again.err);
    assertTrue(Files.exists(undo), "that of the first time stays");
  }

  @Test
  void auditRefusesWhatItCannotDo() throws IOException {
    fails(run("audit", folder.resolve("no")), "DIR does not exist");
    fails(run("audit", note), "not a folder");
    Path empty = Files.createDirectory(folder.resolve("empty"));
    fails(run("audit", empty), "empty: holds no samples; name the folder that they are in");
    fails(run("audit", "--apply", folder), "--fix-names");
    fails(run("audit", "--fix-names", "--plan", folder.resolve("p.csv"), folder), "folder itself");
    fails(run("audit", folder, "--undo", folder.resolve("no.csv")), "--undo does not exist");
  }

  @Test
  void namesAreWrittenAndRead() throws IOException {
    Ran name =
        run(
            "name",
            "--library",
            "Larkfell",
            "--articulation",
            "sustain",
            "--layer",
            "close",
            "--midi",
            "61",
            "--dynamic",
            "mf",
            "--rr",
            "1");
    assertEquals(0, name.status, name.err);
    assertEquals("Larkfell_sustain_close_C#4_mf_rr1", name.out.strip());
    Ran facts = run("name", "--parse", name.out.strip() + ".wav");
    assertEquals("61", facts.rows().get(0).get("midi"));
    assertEquals("Larkfell", facts.rows().get(0).get("library"));
    fails(run("name"), "--parse");
    fails(run("name", "--midi", "61", "--parse", "x"), "--parse");
    fails(run("name", "--midi", "128", "--pattern", "{note}"), "0 to 127");
  }

  @Test
  void checkFollowsTheSheet() throws IOException {
    Path sheet = folder.resolve("sheet.yaml");
    String text =
        """
        library: Larkfell
        takes:
          - file: "nöte, 1.wav"
            articulation: sustain
            kind: pitched
            notes: [A3]
            dynamics: [f]
            round_robins: 1
        """;
    Files.writeString(sheet, text);
    Ran good = run("check", sheet, "--strict");
    assertEquals(0, good.status, good.out + good.err);
    assertTrue(good.out.contains("1 cell in 1 take"), good.out);
    Files.writeString(sheet, text.replace("round_robins: 1", "round_robins: 99"));
    assertEquals(0, run("check", sheet).status);
    assertEquals(1, run("check", sheet, "--strict").status);
    Files.writeString(sheet, text.replace("dynamics", "dynamiks"));
    Ran bad = run("check", sheet);
    assertEquals(2, bad.status);
    assertTrue(bad.out.contains(sheet + ":7: error: "), bad.out);
    assertEquals(1, bad.err.lines().count(), bad.err);
    Ran build = run("build", sheet, "--out", folder.resolve("library"));
    fails(build, "sheet.yaml:7", "dynamics");
    fails(run("check", folder.resolve("no.yaml")), "no.yaml");
  }

  @Test
  void buildWritesALibraryAndSaysWhatToLookAt() throws IOException {
    Path sheet = folder.resolve("sheet.yaml");
    String text =
        """
        library: Larkfell
        takes:
          - file: "nöte, 1.wav"
            articulation: sustain
            kind: pitched
            notes: [A3]
            dynamics: [f]
            round_robins: 1
        """;
    Files.writeString(sheet, text);
    Path library = folder.resolve("library");
    Ran whole = run("build", sheet, "--out", library);
    assertEquals(0, whole.status, whole.out + whole.err);
    assertEquals(1, whole.out.lines().count(), whole.out);
    assertTrue(whole.out.contains("1 sample, 0 cells missing"), whole.out);
    assertTrue(whole.out.contains(library.resolve("index.csv").toString()), whole.out);
    assertTrue(Files.exists(library.resolve("Larkfell_sustain_close_A3_f_rr1.wav")));

    Files.writeString(sheet, text.replace("[A3]", "[A3, C4]"));
    Path other = folder.resolve("other");
    assertEquals(0, run("build", sheet, "--out", other).status);
    Ran strict = run("build", sheet, "--out", other, "--strict");
    assertEquals(1, strict.status, strict.err);
    assertTrue(strict.out.contains("1 cell missing"), strict.out);
    fails(run("build", sheet, "--out", note), "not a folder");

    Files.writeString(sheet, text + "    drop: [1:30]\n");
    Ran warned = run("build", sheet, "--out", library);
    assertEquals(0, warned.status, warned.err);
    assertTrue(
        warned
            .err
            .lines()
            .anyMatch(l -> l.startsWith("warning: sheet.yaml:9: `drop` names 1:30, ")),
        warned.err);
  }

  @Test
  void commandsCallAServerThatRuns() throws IOException {
    Path token = folder.resolve("token");
    String address;
    try (TakewrightServer server =
        TakewrightServer.start(
            new ServerSettings(ServerSettings.DEFAULT_HOST, 0, List.of(folder), token))) {
      address = server.address();
      Ran there = run("analyse", note, "--server", server.address(), "--token-file", token);
      assertEquals(0, there.status, there.err);
      assertEquals(run("analyse", note).out, there.out);
      Path wrong = Files.writeString(folder.resolve("wrong"), "00");
      fails(
          run("segment", note, "--server", server.address(), "--token-file", wrong),
          "token",
          token.toString());
      Path elsewhere = Files.createTempFile("takewright-test", ".wav");
      try {
        fails(
            run("segment", elsewhere, "--server", server.address(), "--token-file", token),
            "--allow");
      } finally {
        Files.delete(elsewhere);
      }
    }
    Files.writeString(token, "00");
    fails(run("segment", note, "--server", address, "--token-file", token), "no service answers");
  }

  @Test
  void theStrictStatusOfABuildFollowsWhatItFound() {
    BuildResult whole = BuildResult.newBuilder().setSamples(3).setLeftOut(5).build();
    BuildResult missing = whole.toBuilder().setMissing(1).build();
    BuildResult flagged = whole.toBuilder().setFlagged(1).build();
    assertEquals(0, LibraryBuild.status(whole, true));
    assertEquals(1, LibraryBuild.status(missing, true));
    assertEquals(1, LibraryBuild.status(flagged, true));
    assertEquals(1, LibraryBuild.status(whole.toBuilder().addWarnings("x").build(), true));
    assertEquals(0, LibraryBuild.status(missing, false));
    assertEquals(0, LibraryBuild.status(flagged, false));
  }
}
