package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * What a build says of itself at its end, and what the running page showed, against what was laid
 * into the take: two good notes, one of them played twice, one with cut tops, one that is missing,
 * and a word between.
 */
class BuildSummaryTest {
  private static final int RATE = 48_000;

  @TempDir static Path folder;
  private static String said;
  private static int strict;

  @BeforeAll
  static void build() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 71).pause(2.5);
    note(take, 57);
    note(take, 59);
    note(take, 59);
    take.sound("talk", 0, take.talk(), -20, -62).pause(2);
    note(take, 61);
    Clip clip = take.build(-62);
    // Two tops cut flat, too few to throw the note out.
    int onset = take.events().get(4).onset();
    for (double at : new double[] {0.5, 0.9}) {
      int from = onset + (int) (at * RATE);
      Arrays.fill(clip.channel(0), from, from + 5, 1);
    }
    new Job(folder).take("take.wav", clip);
    Path sheet =
        Files.writeString(
            folder.resolve("s.yaml"),
            "library: Larkfell\ntakes:\n"
                + "  - {file: take.wav, articulation: a, notes: [A3, B3, C#4, D4]}\n");
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    PrintStream stream = new PrintStream(out, true, StandardCharsets.UTF_8);
    PrintStream nowhere = new PrintStream(PrintStream.nullOutputStream());
    strict =
        Main.run(
            stream,
            nowhere,
            "build",
            sheet.toString(),
            "--out",
            folder.resolve("out").toString(),
            "--strict");
    said = out.toString(StandardCharsets.UTF_8);
  }

  private static void note(TakeBuilder take, int midi) {
    float[] x = HeldTone.of(RATE, HeldTone.hz(midi), 1.6).rising(0.03).samples();
    take.sound("note", midi, x, -14, -62).pause(1.4);
  }

  @Test
  void theSummaryCountsWhatIsThere() {
    // The first attempt at B3 and the word are left out.
    assertTrue(
        said.startsWith("3 samples, 1 cell missing, 1 sample flagged, 2 regions left out"), said);
    assertEquals(1, strict);
  }

  /** A letter a cell: kept, kept, flagged, missing. */
  @Test
  void theRunningPageTellsFlaggedCellsFromPlainOnes() throws IOException {
    String progress = Files.readString(folder.resolve("out/report/data/progress.js"));
    assertTrue(progress.contains("\"cells\":\"kkfx\""), progress);
  }

  /** By the command's own option, not by how the sheet is written. */
  @Test
  void withoutStrictTheStatusIsZero() {
    PrintStream nowhere = new PrintStream(PrintStream.nullOutputStream());
    String sheet = folder.resolve("s.yaml").toString();
    String out = folder.resolve("out").toString();
    assertEquals(0, Main.run(nowhere, nowhere, "build", sheet, "--out", out));
  }

  /** A second build says what it changed, and as JSON too. */
  @Test
  void itSaysWhatChangedSinceTheLastBuild() throws IOException {
    String sheet = folder.resolve("s.yaml").toString();
    String again = folder.resolve("again").toString();
    assertFalse(said.contains("since the last build"), said);
    out("build", sheet, "--out", again);
    assertTrue(
        out("build", sheet, "--out", again).contains("since the last build: no sample changed"));
    Path decisions =
        Files.writeString(
            folder.resolve("decisions.yaml"),
            "takes: [{file: take.wav, fixes: [{note: A3, cents: 5}]}]\n");
    String changed = out("build", sheet, "--out", again, "--decisions", decisions.toString());
    assertTrue(
        changed.contains("since the last build: 0 samples new, 1 changed, 0 gone;"), changed);
    JsonNode json = new ObjectMapper().readTree(out("build", sheet, "--out", again, "--json"));
    assertEquals(3, json.get("samples").asInt());
    assertEquals(0, json.at("/changes/added").size());
    assertEquals(1, json.at("/changes/changed").size());
    assertEquals(0, json.at("/changes/vanished").size());
  }

  private static String out(String... arguments) {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    PrintStream stream = new PrintStream(out, true, StandardCharsets.UTF_8);
    Main.run(stream, new PrintStream(PrintStream.nullOutputStream()), arguments);
    return out.toString(StandardCharsets.UTF_8);
  }
}
