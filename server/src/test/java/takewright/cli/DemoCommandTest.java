package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What someone who has just installed it tries first. */
class DemoCommandTest {
  @TempDir Path folder;

  @Test
  void theDemoIsMadeAndBuiltAndMayBeMadeAgain() throws IOException {
    Path out = folder.resolve("demo");
    assertTrue(demo(out).contains("session: " + out.resolve("session")));
    List<Path> samples = samples(out.resolve("library"));
    assertTrue(samples.size() >= 20, samples.toString());
    assertTrue(Files.exists(out.resolve("library/report/index.html")));
    List<String> index = Files.readAllLines(out.resolve("library/index.csv"));
    assertEquals(samples.size(), index.stream().filter(row -> row.contains(",kept,")).count());
    demo(out);
    assertEquals(samples, samples(out.resolve("library")));
  }

  private static String demo(Path out) {
    ByteArrayOutputStream said = new ByteArrayOutputStream();
    ByteArrayOutputStream complaints = new ByteArrayOutputStream();
    int status =
        Main.run(
            new PrintStream(said, true, StandardCharsets.UTF_8),
            new PrintStream(complaints, true, StandardCharsets.UTF_8),
            "demo",
            "--out",
            out.toString(),
            "--local");
    String errors = complaints.toString(StandardCharsets.UTF_8);
    assertEquals(0, status, errors);
    assertFalse(errors.contains("Exception"), errors);
    return said.toString(StandardCharsets.UTF_8);
  }

  private static List<Path> samples(Path library) throws IOException {
    try (Stream<Path> files = Files.walk(library)) {
      return files.filter(f -> f.toString().endsWith(".wav")).sorted().toList();
    }
  }
}
