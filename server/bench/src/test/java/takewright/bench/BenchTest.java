package takewright.bench;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What a bench says and takes; it measures nothing. */
class BenchTest {
  @Test
  void aTableIsTextInColumnsOrMarkdown() {
    Table table = new Table("Speed", "", "s").row("a long name", "1.5").row("b", "12.25");
    assertEquals(
        """
        Speed
                         s
        a long name    1.5
        b            12.25
        """,
        table.render(false));
    assertEquals(
        """
        ## Speed

        |             |     s |
        | --- | ---: |
        | a long name |   1.5 |
        | b           | 12.25 |
        """,
        table.render(true));
    assertThrows(IllegalArgumentException.class, () -> table.row("too few"));
  }

  @Test
  void figuresHaveThreeDigits() {
    assertEquals("123", Table.figure(123.4));
    assertEquals("12.3", Table.figure(12.34));
    assertEquals("1.23", Table.figure(1.234));
    assertEquals("0.123", Table.figure(0.1234));
    assertEquals("0", Table.figure(0));
    assertEquals("-", Table.figure(Double.NaN));
  }

  @Test
  void theChainIsKnownOnlyWhereAllOfItsToolsAre() {
    Map<String, Rivals.Took> some = new HashMap<>();
    some.put("aubioonset", new Rivals.Took(2, 1));
    some.put("aubiopitch", new Rivals.Took(3, 2));
    assertTrue(Double.isNaN(Bench.chain(some).cpuS()));
    some.put("sox noisered", new Rivals.Took(4, 3));
    some.put("sox rate -v -s", new Rivals.Took(5, 4));
    some.put("ffmpeg ebur128", new Rivals.Took(6, 5));
    some.put("ffmpeg afir", new Rivals.Took(100, 100));
    assertEquals(new Rivals.Took(20, 15), Bench.chain(some));
  }

  @Test
  void whatProcessesSayOfThemselvesIsReadBack() {
    Operations.Took took = new Operations.Took(0.25, 1e6);
    assertEquals(Map.of("denoise", took), Operations.Took.read(took.line("denoise") + "\n"));
  }

  @Test
  void aRunReplacesItsOwnSectionOfTheResults(@TempDir Path folder) throws IOException {
    Path file = folder.resolve("RESULTS.md");
    Files.writeString(file, "# Speed\n\nAbout.\n\n## Builds\n\nold\n\n## Service\n\nkept\n");
    Results.put(file, "## Builds\n\nnew\n");
    assertEquals(
        "# Speed\n\nAbout.\n\n## Builds\n\nnew\n\n## Service\n\nkept\n", Files.readString(file));
    Results.put(file, "## Service\n\nnewer\n");
    Results.put(file, "## Service of others\n\nlast\n");
    assertEquals(
        "# Speed\n\nAbout.\n\n## Builds\n\nnew\n\n## Service\n\nnewer\n\n"
            + "## Service of others\n\nlast\n",
        Files.readString(file));
  }

  @Test
  void optionsAreHelpedWithAndRefused() {
    ByteArrayOutputStream bytes = new ByteArrayOutputStream();
    PrintStream out = new PrintStream(bytes, true, StandardCharsets.UTF_8);
    assertEquals(0, Bench.commandLine(out).execute("--help"));
    String help = bytes.toString(StandardCharsets.UTF_8);
    for (String word :
        new String[] {"--markdown", "--minutes", "--only", "--runs", "--into", "long", "fuzz"}) {
      assertTrue(help.contains(word), word);
    }
    assertEquals(2, Bench.commandLine(out).execute("--minutes", "0"));
    assertEquals(2, Bench.commandLine(out).execute("--only", "nothing"));
    assertEquals(2, Bench.commandLine(out).execute("--runs", "0"));
    assertEquals(2, Bench.commandLine(out).execute("--into", "no such file"));
    assertEquals(2, Bench.commandLine(out).execute("fuzz", "--folder", "x", "walls"));
  }
}
