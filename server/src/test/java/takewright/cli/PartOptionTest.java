package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** {@code build --part}; {@code BuildPartTest} tests how parts share a folder. */
class PartOptionTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;

  @TempDir Path folder;
  private Path sheet;

  @BeforeEach
  void record() throws IOException {
    Job job = new Job(folder);
    for (String name : List.of("a.wav", "b.wav")) {
      TakeBuilder take = new TakeBuilder(RATE, name.charAt(0)).pause(2.5);
      for (double hz : new double[] {220, 261.6256}) {
        float[] note = new float[RATE];
        for (int i = 0; i < note.length; i++) {
          double loud = Math.min(1, i / 500.0) * Math.min(1, (note.length - i) / 4000.0);
          note[i] = (float) (loud * Math.sin(2 * Math.PI * hz * i / RATE));
        }
        take.sound("note", 0, note, -14, ROOM_DBFS).pause(1.4);
      }
      job.take(name, take.build(ROOM_DBFS));
    }
    sheet =
        Files.writeString(
            folder.resolve("sheet.yaml"),
            "library: Larkfell\ntakes:\n"
                + "  - {file: a.wav, articulation: hum, notes: [A3, C4]}\n"
                + "  - {file: b.wav, articulation: reed, notes: [A3, C4]}\n");
  }

  private record Ran(int status, String out, String err) {}

  private Ran build(String... options) {
    List<String> words =
        new ArrayList<>(
            List.of("build", sheet.toString(), "--out", folder.resolve("out").toString()));
    words.addAll(List.of(options));
    words.add("--local");
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    int status =
        Main.run(
            new PrintStream(out, true, StandardCharsets.UTF_8),
            new PrintStream(err, true, StandardCharsets.UTF_8),
            words.toArray(String[]::new));
    return new Ran(
        status, out.toString(StandardCharsets.UTF_8), err.toString(StandardCharsets.UTF_8));
  }

  /** Articulations that have samples. */
  private TreeSet<String> made() throws IOException {
    TreeSet<String> made = new TreeSet<>();
    try (Stream<Path> files = Files.list(folder.resolve("out"))) {
      files
          .map(file -> file.getFileName().toString())
          .filter(name -> name.endsWith(".wav"))
          .forEach(name -> made.add(name.split("_")[1]));
    }
    return made;
  }

  @Test
  void aPartMakesTheSamplesOfItsArticulationsAlone() throws IOException {
    Ran first = build("--part=1/2");
    assertEquals(0, first.status, first::err);
    assertTrue(first.out.startsWith("2 samples of part 1 of 2;"), first::out);
    assertEquals(1, made().size());

    Ran second = build("--part=2/2");
    assertTrue(second.out.startsWith("2 samples of part 2 of 2;"), second::out);
    assertEquals(List.of("hum", "reed"), List.copyOf(made()));

    Ran whole = build();
    assertEquals(0, whole.status, whole::err);
    assertTrue(whole.out.startsWith("4 samples (4 of an earlier run)"), whole::out);
  }

  @Test
  void whatIsNoPartIsBadUsage() {
    for (String part : List.of("2", "1/", "a/2", "1/2/3", "3/2", "0/2")) {
      Ran ran = build("--part=" + part);
      assertEquals(2, ran.status, part);
      assertTrue(ran.err.contains("part"), ran::err);
      assertEquals(1, ran.err.lines().count(), ran::err);
    }
  }
}
