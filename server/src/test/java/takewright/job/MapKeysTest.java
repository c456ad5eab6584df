package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.map.JdkSynthesiser;
import takewright.sheet.check.Check;
import takewright.sheet.check.CheckReport;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** Each key of {@code map}: given and not given, and what becomes of the library's files. */
class MapKeysTest {
  private static final int RATE = 44_100;

  @TempDir static Path folder;
  private static Job job;

  private static final String SHEET =
      """
      library: Larkfell
      %s
      takes:
        - {file: held.wav, articulation: held, notes: [G3, C4], dynamics: [p, f], round_robins: 2}
      """;

  @BeforeAll
  static void writeTheTake() {
    TakeBuilder take = new TakeBuilder(RATE, 21).pause(2);
    for (int midi : new int[] {55, 60}) {
      for (double peak : new double[] {-24, -12}) {
        for (int rr = 0; rr < 2; rr++) {
          take.sound("note", midi, tone(midi), peak, -70).pause();
        }
      }
    }
    job = new Job(folder).take("held.wav", take.build(-70));
    job.build("plain", SHEET.formatted(""));
  }

  private static float[] tone(int midi) {
    return HeldTone.of(RATE, HeldTone.hz(midi), 1).withPartials(6).samples();
  }

  private static String text(String library, String file) throws IOException {
    return Files.readString(job.file(library + "/" + file), StandardCharsets.UTF_8);
  }

  private static byte[] dls(String library) throws IOException {
    return Files.readAllBytes(job.file(library + "/Larkfell_held_close.dls"));
  }

  private static List<String> column(String library, String name) throws IOException {
    List<String> lines = text(library, "map.csv").lines().toList();
    int at = List.of(lines.get(0).split(",")).indexOf(name);
    return lines.stream().skip(1).map(line -> line.split(",", -1)[at]).distinct().toList();
  }

  @Test
  void velocityIsSplitEvenlyUnlessLoudnessIsAskedFor() throws IOException {
    assertEquals(List.of("even"), column("plain", "velocity_rule"));
    assertEquals(List.of("1", "65"), column("plain", "low_velocity"));
    job.build("loudness", SHEET.formatted("map: {velocity: loudness}"));
    assertEquals(List.of("loudness"), column("loudness", "velocity_rule"));
    // The dynamics are 12 dB apart: 127 * 10^(-6 / 40) = 90, the curve of DLS 2.2.
    int bound = Integer.parseInt(column("loudness", "low_velocity").get(1));
    assertTrue(Math.abs(bound - 91) <= 3, "f from " + bound);
  }

  @Test
  void theWheelIsInTheInstrumentAndOnThePageUnlessItIsLeftOut() throws IOException {
    job.build("no-wheel", SHEET.formatted("map: {mod_wheel: no}"));
    job.build(
        "own-wheel",
        SHEET.formatted("map: {mod_wheel: {from_hz: 900, to_hz: 9000, resonance_db: 5}}"));
    assertTrue(text("plain", "play.js").contains("\"wheel\":{"));
    assertTrue(text("no-wheel", "play.js").contains("\"wheel\":null"));
    for (String given : List.of("\"fromHz\":900.0", "\"toHz\":9000.0", "\"toDb\":5.0")) {
      assertTrue(text("own-wheel", "play.js").contains(given), given);
    }
    // 900 Hz is 6900 + 1200 log2(900 / 440) = 8139 cents of absolute pitch.
    assertTrue(holdsCutoff(dls("own-wheel"), 8139));
    assertTrue(holdsCutoff(dls("plain"), 13_508));
    assertFalse(holdsCutoff(dls("no-wheel"), 13_508));
    assertTrue(text("plain", "README.txt").contains("modulation wheel"));
    assertFalse(text("no-wheel", "README.txt").contains("modulation wheel"));
  }

  /** Whether a connection from nothing to the filter's cutoff (0x0500) has this scale in cents. */
  private static boolean holdsCutoff(byte[] dls, int cents) {
    for (int i = 0; i + 12 <= 100_000 && i + 12 <= dls.length; i++) {
      boolean cutoff = dls[i] == 0 && dls[i + 1] == 0 && dls[i + 2] == 0 && dls[i + 3] == 0;
      cutoff &= dls[i + 4] == 0 && dls[i + 5] == 5 && dls[i + 6] == 0 && dls[i + 7] == 0;
      int scale = (dls[i + 10] & 0xFF) + (dls[i + 11] << 8);
      if (cutoff && Math.abs(scale - cents) <= 1) {
        return true;
      }
    }
    return false;
  }

  @Test
  void roundRobinsAreBanksWhereAsked() throws IOException {
    assertEquals(1, JdkSynthesiser.load(dls("plain")).getInstruments().length);
    assertTrue(text("plain", "README.txt").contains("these files hold the first of each"));
    job.build("banks", SHEET.formatted("map: {round_robins_as: banks}"));
    assertEquals(2, JdkSynthesiser.load(dls("banks")).getInstruments().length);
    assertTrue(text("banks", "README.txt").contains("each is in a bank of its own"));
  }

  @Test
  void theReverbSendIsWrittenWhereItIsAskedFor() throws IOException {
    job.build("reverb", SHEET.formatted("map: {reverb_percent: 30}"));
    assertNotEquals(
        dls("plain").length, dls("reverb").length, "one connection more in each region");
  }

  private static Path example(String name) {
    return Path.of("..", "shared", "templates", name);
  }

  @Test
  void theExampleTemplatesMakeATableAndAGroupedList() throws IOException {
    Files.copy(example("table.mustache"), job.file("table.mustache"));
    Files.copy(example("grouped.mustache"), job.file("grouped.mustache"));
    String map =
        """
        map:
          templates:
            - {file: table.mustache, out: "{articulation}_{dynamic}.txt"}
            - {file: grouped.mustache, out: "{library}.list.txt"}
        """;
    job.build("texts", SHEET.formatted(map));
    List<String> soft = text("texts", "held_p.txt").lines().toList();
    assertEquals("file\tnote\tkeys\tvelocities\tround robin", soft.get(0));
    assertEquals("Larkfell_held_close_G3_p_rr1.wav\tG3\tD#3-A3\t1-64\t1/2", soft.get(1));
    assertEquals(5, soft.size());
    String grouped = text("texts", "Larkfell.list.txt");
    assertTrue(
        grouped.contains(
            """
                A#3 to E4, root C4
                  p at velocities 1 to 64 (even): Larkfell_held_close_C4_p_rr1.wav, Larkfell_held_close_C4_p_rr2.wav
                  f at velocities 65 to 127 (even): Larkfell_held_close_C4_f_rr1.wav, Larkfell_held_close_C4_f_rr2.wav
            """),
        grouped);
    assertTrue(text("texts", "README.txt").contains("held_f.txt"));
    // A text that was made by a template that is gone is removed; one that was edited is kept.
    Files.writeString(job.file("texts/held_f.txt"), "mine");
    job.build("texts", SHEET.formatted(""));
    assertFalse(Files.exists(job.file("texts/held_p.txt")));
    assertEquals("mine", text("texts", "held_f.txt"));
  }

  /** Under each column's name, a template finds what stands in the column. */
  @Test
  void aTemplateKnowsEveryFactOfTheTable() throws IOException {
    String header = text("plain", "map.csv").lines().findFirst().orElseThrow();
    String line = header.replaceAll("([a-z_]+)", "{{$1}}");
    Files.writeString(
        job.file("all.mustache"), header + "\n{{#samples}}\n" + line + "\n{{/samples}}\n");
    job.build("facts", SHEET.formatted("map: {templates: [{file: all.mustache, out: all.csv}]}"));
    assertEquals(text("facts", "map.csv"), text("facts", "all.csv"));
  }

  @Test
  void aTemplateThatAsksForWhatIsNotThereIsRefusedBeforeAnythingIsCut() throws IOException {
    Files.writeString(job.file("wrong.mustache"), "{{#samples}}\n{{nte}}\n{{/samples}}\n");
    String sheet =
        SHEET.formatted("map: {templates: [{file: wrong.mustache, out: \"wrong.txt\"}]}");
    Path file = Files.writeString(job.file("wrong.yaml"), sheet);
    CheckReport report = Check.apply(file);
    String said = report.problems().stream().map(p -> p.problem().text()).findFirst().orElse("");
    assertTrue(said.contains("asks for \"nte\" in line 2"), said);
    UncheckedIOException refused =
        assertThrows(UncheckedIOException.class, () -> job.build("wrong", sheet));
    assertTrue(refused.getMessage().contains("asks for \"nte\" in line 2"));
    assertEquals(List.of(), job.samples("wrong"));
  }
}
