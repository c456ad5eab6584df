package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Map;
import javax.sound.midi.Soundbank;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.RiffInfo;
import takewright.audio.Tools;
import takewright.map.JdkSynthesiser;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** What {@code about} says, as other programs read it in the files. The names are invented. */
class AboutTest {
  private static final int RATE = 44_100;

  private static final String SHEET =
      """
      library: Larkfell
      %s
      layers:
        - {name: close}
        - {name: hall, room: {length_m: 9}}
      takes:
        - {file: held.wav, articulation: held, notes: [G3]}
      """;

  private static final Map<String, String> GIVEN = new LinkedHashMap<>();

  static {
    GIVEN.put("player", "Isolde Märchen");
    GIVEN.put("instrument", "Bass dulcian, 1640");
    GIVEN.put("room", "Chapel of Tarn");
    GIVEN.put("microphones", "two omnis at 2 m");
    GIVEN.put("licence", "CC BY 4.0");
    GIVEN.put("credit", "Larkfell Sound");
  }

  @TempDir static Path folder;
  private static Job job;

  @BeforeAll
  static void build() {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(2);
    float[] x = HeldTone.of(RATE, 196, 1).withPartials(6).samples();
    take.sound("note", 55, x, -12, -70).pause();
    job = new Job(folder).take("held.wav", take.build(-70));
    job.build("plain", SHEET.formatted(""));
    job.build("all", SHEET.formatted(about(GIVEN)));
  }

  private static String about(Map<String, String> given) {
    StringBuilder about = new StringBuilder("about:");
    given.forEach((key, text) -> about.append("\n  ").append(key).append(": \"" + text + "\""));
    return about.toString();
  }

  private static JsonNode tags(Path file) throws IOException {
    String said =
        Tools.run("ffprobe", "-v", "error", "-of", "json", "-show_entries", "format_tags", file);
    // The tools' text is read byte by byte.
    byte[] bytes = said.getBytes(StandardCharsets.ISO_8859_1);
    return new ObjectMapper().readTree(bytes).at("/format/tags");
  }

  @Test
  void otherProgramsReadItInEverySample() throws IOException {
    for (String layer : new String[] {"close", "hall"}) {
      Path sample = job.samples("all", layer).get(0);
      JsonNode tags = tags(sample);
      assertEquals("Isolde Märchen", tags.path("artist").asText(), tags.toString());
      assertEquals("CC BY 4.0", tags.path("copyright").asText(), tags.toString());
      String info = Tools.run("sndfile-info", sample);
      assertTrue(info.contains("Isolde"), info);
      assertTrue(info.contains("CC BY 4.0"), info);
      String room = "Room: Chapel of Tarn; Microphones: two omnis at 2 m; Credit: Larkfell Sound";
      assertEquals(room, tags.path("comment").asText(), tags.toString());
      assertFalse(Tools.run("sox", sample, "-n", "stat").contains("WARN"));
      // Accents are dropped in bext, which is ASCII (EBU Tech 3285).
      String bext = Tools.run("sndfile-info", "--broadcast", sample);
      assertTrue(
          bext.contains("Player: Isolde Marchen; Instrument: Bass dulcian, 1640; Room"), bext);
      try (AudioFile audio = AudioFile.open(sample)) {
        assertEquals("Bass dulcian, 1640", audio.chunks().info().texts().get(RiffInfo.SUBJECT));
      }
    }
  }

  @Test
  void theInstrumentFileAndTheReadmeSayItToo() throws IOException {
    Soundbank bank =
        JdkSynthesiser.load(Files.readAllBytes(job.file("all/Larkfell_held_close.dls")));
    assertEquals("Larkfell_held_close", bank.getName());
    assertTrue(bank.getDescription().contains("Room: Chapel of Tarn"), bank.getDescription());
    String dls =
        Files.readString(job.file("all/Larkfell_held_close.dls"), StandardCharsets.ISO_8859_1);
    assertTrue(dls.contains("ISBJ"));
    String readme = Files.readString(job.file("all/README.txt"));
    for (String text : GIVEN.values()) {
      assertTrue(readme.contains(text), text);
    }
    String page = Files.readString(job.file("all/play.js"));
    assertTrue(page.contains("two omnis at 2 m"));
  }

  @Test
  void nothingIsWrittenThatWasNotGiven() throws IOException {
    Path sample = job.samples("plain", "close").get(0);
    try (AudioFile audio = AudioFile.open(sample)) {
      assertTrue(audio.chunks().info().isEmpty());
      assertEquals(
          "Larkfell, held G3 mf, round robin 1, close", audio.chunks().broadcast().description());
    }
    assertFalse(Files.readString(sample, StandardCharsets.ISO_8859_1).contains("INFO"));
    assertFalse(Files.readString(job.file("plain/README.txt")).contains("Player"));
    assertTrue(Files.readString(job.file("plain/play.js")).contains("\"about\":{}"));
  }

  /** Each key alone: it is in the files, and they are the ones that a build made anew for it. */
  @Test
  void eachKeyIsWrittenAndNoOther() throws IOException {
    for (Map.Entry<String, String> key : GIVEN.entrySet()) {
      job.build("one", SHEET.formatted(about(Map.of(key.getKey(), key.getValue()))));
      Path sample = job.samples("one", "hall").get(0);
      String bytes = Files.readString(sample, StandardCharsets.ISO_8859_1);
      String readme = Files.readString(job.file("one/README.txt"));
      for (Map.Entry<String, String> other : GIVEN.entrySet()) {
        boolean given = other.getKey().equals(key.getKey());
        String text = other.getValue().replaceFirst("Isolde M.rchen", "Isolde");
        assertEquals(given, bytes.contains(text), key.getKey() + ": " + text);
        assertEquals(given, readme.contains(other.getValue()), key.getKey() + ": " + text);
      }
    }
  }
}
