package takewright.demo;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.MappingIterator;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvSchema;
import com.fasterxml.jackson.dataformat.yaml.YAMLMapper;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.Clip;

class DemoTest {
  private static final List<String> TAKES = List.of("sustain.wav", "staccato.wav", "hits.wav");

  @TempDir static Path folder;

  private static Path session;
  private static JsonNode sheet;
  private static List<Map<String, String>> truth;
  private static final Map<String, Clip> CLIPS = new HashMap<>();

  @BeforeAll
  static void write() throws IOException {
    session = folder.resolve("session");
    sheet = new YAMLMapper().readTree(Demo.write(session).toFile());
    truth = table(session.resolve("session-truth.csv"));
    for (String take : TAKES) {
      try (AudioFile file = AudioFile.open(session.resolve(take))) {
        assertEquals(48_000, file.sampleRate());
        assertEquals(24, file.bitDepth());
        CLIPS.put(take, Clip.read(file, (int) file.frames()));
      }
    }
  }

  @Test
  void isTheSameEveryTime(@TempDir Path other) throws IOException {
    Demo.write(other);
    List<Path> files = list(session);
    assertEquals(6, files.size());
    assertEquals(names(session), names(other));
    for (Path file : files) {
      assertEquals(-1, Files.mismatch(file, other.resolve(file.getFileName())), file.toString());
    }
  }

  @Test
  void leavesItsOwnFilesAloneAndAddsWhatIsMissing(@TempDir Path parent) throws IOException {
    Path own = parent.resolve("own");
    Demo.write(own);
    Path hits = own.resolve("hits.wav");
    FileTime longAgo = FileTime.fromMillis(1_000_000_000_000L);
    Files.setLastModifiedTime(hits, longAgo);
    Files.delete(own.resolve("sheet.yaml"));
    assertEquals(own.resolve("sheet.yaml"), Demo.write(own));
    assertTrue(Files.exists(own.resolve("sheet.yaml")));
    assertEquals(longAgo, Files.getLastModifiedTime(hits));
    assertEquals(List.of("own"), names(parent), "nothing may stay beside it");
  }

  @Test
  void refusesAFolderWithOtherThings(@TempDir Path parent) throws IOException {
    Path other = Files.createDirectory(parent.resolve("mine"));
    Files.writeString(other.resolve("letter.txt"), "dear");
    IOException e = assertThrows(FileAlreadyExistsException.class, () -> Demo.write(other));
    assertTrue(e.getMessage().contains("letter.txt"), e.getMessage());
    assertEquals(List.of("letter.txt"), names(other));
    assertEquals(List.of("mine"), names(parent));
  }

  @Test
  void refusesAnOwnNameWithOtherContent(@TempDir Path parent) throws IOException {
    Path other = Files.createDirectory(parent.resolve("mine"));
    Files.writeString(other.resolve("sheet.yaml"), "library: Mine\n");
    IOException e = assertThrows(FileAlreadyExistsException.class, () -> Demo.write(other));
    assertTrue(e.getMessage().contains("sheet.yaml"), e.getMessage());
    assertEquals(List.of("sheet.yaml"), names(other));
    assertEquals("library: Mine\n", Files.readString(other.resolve("sheet.yaml")));
    assertEquals(List.of("mine"), names(parent));
  }

  @Test
  void refusesAFileInPlaceOfTheFolder(@TempDir Path parent) throws IOException {
    Path file = Files.writeString(parent.resolve("file"), "x");
    assertThrows(FileAlreadyExistsException.class, () -> Demo.write(file));
    assertEquals("x", Files.readString(file));
  }

  @Test
  void saysThatItIsInvented() throws IOException {
    String words = "Invented demo data, physically modelled; no real player";
    assertTrue(Files.readString(session.resolve("README.txt")).startsWith(words));
    for (String take : TAKES) {
      byte[] bytes = Files.readAllBytes(session.resolve(take));
      String head = new String(bytes, 0, 1024, StandardCharsets.ISO_8859_1);
      // EBU Tech 3285: the description is the first field of bext, after tag and size.
      int bext = head.indexOf("bext");
      assertTrue(bext > 0, take);
      assertEquals(words, head.substring(bext + 8, bext + 8 + words.length()));
    }
  }

  @Test
  void sheetAsksForWhatTheTableHolds() {
    assertEquals("Tarnwhit", sheet.path("library").asText());
    assertEquals(440, sheet.path("tuning_hz").asInt());
    assertEquals("C4", sheet.path("middle_c").asText());
    assertEquals(48_000, sheet.path("output").path("sample_rate").asInt());
    List<String> files = new ArrayList<>();
    sheet.path("takes").forEach(t -> files.add(t.path("file").asText()));
    assertEquals(TAKES, files);

    // The notes of the sheet in MIDI numbers, by hand: A3..A5/6 and [A3, D4, G4, C5, F5].
    assertEquals("A3..A5/6", sheet.path("takes").get(0).path("notes").asText());
    assertEquals("[\"A3\",\"D4\",\"G4\",\"C5\",\"F5\"]", sheet.at("/takes/1/notes").toString());
    TreeSet<String> asked = new TreeSet<>();
    for (int midi = 57; midi <= 81; midi += 6) {
      asked.add("sustain.wav " + midi + " p 1");
      asked.add("sustain.wav " + midi + " f 1");
    }
    for (int midi : new int[] {57, 62, 67, 72, 77}) {
      asked.add("staccato.wav " + midi + " mf 1");
      asked.add("staccato.wav " + midi + " mf 2");
    }
    for (int rr = 1; rr <= sheet.at("/takes/2/round_robins").asInt(); rr++) {
      asked.add("hits.wav   " + rr);
    }
    TreeSet<String> held = new TreeSet<>();
    for (Map<String, String> row : truth) {
      boolean sound = List.of("note", "hit", "missing").contains(row.get("what"));
      if (sound && row.get("retake").equals("0")) {
        String cell =
            String.join(" ", row.get("take"), row.get("midi"), row.get("dynamic"), row.get("rr"));
        assertTrue(held.add(cell), "twice: " + cell);
      }
    }
    assertEquals(asked, held);
  }

  @Test
  void holdsEveryHazardOnce() {
    for (String what : List.of("talk", "knock", "missing")) {
      assertEquals(1, truth.stream().filter(r -> r.get("what").equals(what)).count(), what);
    }
    assertEquals(1, truth.stream().filter(r -> r.get("retake").equals("1")).count());
  }

  @Test
  void soundsAtThePitchesOfTheTable() {
    int notes = 0;
    for (Map<String, String> row : truth) {
      if (row.get("what").equals("note")) {
        notes++;
        double cents = Double.parseDouble(row.get("cents"));
        assertTrue(Math.abs(cents) <= 25, row.toString());
        double midi = Integer.parseInt(row.get("midi")) + cents / 100;
        double hz = 440 * Math.pow(2, (midi - 69) / 12);
        double onset = seconds(row, "onset_s");
        // After the attack, and before the room's hum outweighs the ring.
        double off =
            centsOff(CLIPS.get(row.get("take")), onset + 0.1, seconds(row, "end_s") - 0.25, hz);
        assertEquals(0, off, 2, row + ": cents off");
      }
    }
    assertEquals(20, notes);
  }

  @Test
  void theRoomIsAsLoudAsTheTableSays() {
    for (Clip clip : CLIPS.values()) {
      for (int c = 0; c < clip.channels(); c++) {
        assertEquals(-62, levelDbfs(clip, c, 0, 2.5), 0.5);
      }
    }
  }

  @Test
  void nothingButTheRoomIsHeardBetweenTheSounds() {
    for (String take : TAKES) {
      double end = 0;
      for (Map<String, String> row : truth) {
        if (row.get("take").equals(take) && !row.get("what").equals("missing")) {
          double start = seconds(row, "start_s");
          double onset = seconds(row, "onset_s");
          double gap = onset - end;
          assertTrue(end == 0 || gap >= 1 && gap <= 2, row + ": pause of " + gap);
          assertTrue(start <= onset && onset < seconds(row, "end_s"), row.toString());
          Clip clip = CLIPS.get(take);
          for (int c = 0; c < clip.channels(); c++) {
            assertEquals(-62, levelDbfs(clip, c, end + 0.1, start), 1, row.toString());
            assertTrue(levelDbfs(clip, c, onset, onset + 0.05) > -56, row.toString());
          }
          end = seconds(row, "end_s");
        }
      }
    }
  }

  @Test
  void softLiesNineDecibelsBelowLoudAndNothingNearFullScale() {
    Map<String, Double> sum = new HashMap<>();
    Map<String, Integer> count = new HashMap<>();
    for (Map<String, String> row : truth) {
      if (!row.get("what").equals("missing")) {
        Clip clip = CLIPS.get(row.get("take"));
        double peak = peakDbfs(clip, seconds(row, "onset_s"), seconds(row, "end_s"));
        assertTrue(peak < -5.5 && peak > -18, row + ": peak " + peak);
        sum.merge(row.get("dynamic"), peak, Double::sum);
        count.merge(row.get("dynamic"), 1, Integer::sum);
      }
    }
    double difference = sum.get("f") / count.get("f") - sum.get("p") / count.get("p");
    assertEquals(9, difference, 1);
  }

  /**
   * How far a stretch is off {@code hz} on average: the lag of eight periods at which it is most
   * like itself, by a normalised autocorrelation with a parabola through its top, every 20 ms.
   */
  private static double centsOff(Clip clip, double from, double to, double hz) {
    int periods = 8;
    float[] x = clip.channel(0);
    int rate = clip.sampleRate();
    int window = (int) (periods * rate / hz);
    int centre = (int) Math.round(periods * rate / hz);
    int reach = centre / 50 + 2;
    double sum = 0;
    int frames = 0;
    for (int at = (int) (from * rate); at + 2.1 * window < to * rate; at += rate / 50) {
      double[] like = new double[2 * reach + 1];
      int best = 1;
      for (int k = 0; k < like.length; k++) {
        double cross = 0;
        double power = 0;
        for (int i = at; i < at + window; i++) {
          double late = x[i + centre - reach + k];
          cross += x[i] * late;
          power += x[i] * x[i] + late * late;
        }
        like[k] = cross / power;
        best = like[k] > like[best] && k < like.length - 1 ? k : best;
      }
      double bend = like[best - 1] - 2 * like[best] + like[best + 1];
      double lag = centre - reach + best + (like[best - 1] - like[best + 1]) / (2 * bend);
      sum += 1200 * Math.log(periods * rate / lag / hz) / Math.log(2);
      frames++;
    }
    assertTrue(frames >= 3, "too short to measure");
    return sum / frames;
  }

  private static double levelDbfs(Clip clip, int channel, double from, double to) {
    int start = (int) Math.round(from * clip.sampleRate());
    int end = (int) Math.round(to * clip.sampleRate());
    double power = 0;
    for (int i = start; i < end; i++) {
      power += Math.pow(clip.channel(channel)[i], 2);
    }
    return 10 * Math.log10(power / (end - start));
  }

  private static double peakDbfs(Clip clip, double from, double to) {
    double peak = 0;
    for (int c = 0; c < clip.channels(); c++) {
      for (int i = (int) (from * clip.sampleRate()); i < to * clip.sampleRate(); i++) {
        peak = Math.max(peak, Math.abs(clip.channel(c)[i]));
      }
    }
    return 20 * Math.log10(peak);
  }

  private static double seconds(Map<String, String> row, String column) {
    return Double.parseDouble(row.get(column));
  }

  private static List<Map<String, String>> table(Path file) throws IOException {
    // Its last line is a comment: the mark of a file of our own.
    CsvSchema schema = CsvSchema.emptySchema().withHeader().withComments();
    try (MappingIterator<Map<String, String>> rows =
        new CsvMapper().readerForMapOf(String.class).with(schema).readValues(file.toFile())) {
      return rows.readAll();
    }
  }

  private static List<Path> list(Path where) throws IOException {
    try (Stream<Path> files = Files.list(where)) {
      return files.sorted().toList();
    }
  }

  private static List<String> names(Path where) throws IOException {
    return list(where).stream().map(f -> f.getFileName().toString()).toList();
  }
}
