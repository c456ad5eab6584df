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
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import picocli.CommandLine.Model.CommandSpec;

/** What a person reads who calls a command wrongly, and what a shell completes. */
class WrongUsageTest {
  @TempDir Path folder;

  private static String[] run(int status, String... words) {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    int ran =
        Main.run(
            new PrintStream(out, true, StandardCharsets.UTF_8),
            new PrintStream(err, true, StandardCharsets.UTF_8),
            words);
    assertEquals(status, ran, err.toString(StandardCharsets.UTF_8));
    return new String[] {
      out.toString(StandardCharsets.UTF_8), err.toString(StandardCharsets.UTF_8).strip()
    };
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "chek sheet.yaml | there is no command chek; did you mean check? (see takewright --help)",
        "check a.yaml --strct | there is no option --strct; did you mean --strict?"
            + " (see takewright check --help)",
        "build a.yaml --out b --as-writen=yes | there is no option --as-writen; did you mean --as-written?"
            + " (see takewright build --help)",
        "build a.yaml --otu b | there is no option --otu; did you mean --out?"
            + " (see takewright build --help)",
        "rneder a b | there is no command rneder; did you mean render? (see takewright --help)",
        "build | --out DIR and SHEET are missing (see takewright build --help)",
        "build a.yaml | --out DIR is missing (see takewright build --help)",
        "build --foo x | there is no option --foo (see takewright build --help)",
        "build a.yaml --out= | --out must not be empty: give a path (see takewright build --help)",
        "check | SHEET or --schema is missing (see takewright check --help)",
        "check a.yaml b.yaml | b.yaml is one word too many: put words that belong together in"
            + " quotes (see takewright check --help)",
        "segment --lead-in-ms soon a.wav | --lead-in-ms is soon, which is not a number"
            + " (see takewright segment --help)",
        "serve --port x | --port is x, which is not a whole number (see takewright serve --help)",
        "serve --port 99999 | --port must be 0 to 65535, not 99999",
        "serve --log xml | --log is xml, which is not text or json (see takewright serve --help)",
        "build a.yaml --out b --part 3 | --part must be like 2/8, the second of eight, not 3"
            + " (see takewright build --help)",
        "render lib a.wav --midi a.mid --notes C4 | only one of --midi=FILE, --notes=NOTES can be"
            + " given; leave the other out (see takewright render --help)",
        "follow a.yaml a.wav --speed -3 | --speed must be above 0; leave it out to play FILE as fast"
            + " as possible",
        "follow a.yaml --pcm int16,48000,1 --speed 2 | --speed is for a FILE; leave it out, as --pcm"
            + " is heard as it comes",
        "follow a.yaml --pcm int24,48000,0 | --pcm must be like int24,48000,2, not int24,48000,0",
        "segment --server 1::z:7171 a.wav | --server names a machine that is not known"
            + " here: 1::z:7171; correct it, or check the network",
        "test | the tests are beside the program: start them with the launcher, ./takewright test",
      })
  void whatIsWrongIsSaidWithTheNearestRightWord(String call, String line) {
    assertEquals("takewright: " + line, run(2, call.split(" "))[1]);
  }

  @Test
  void helpComesWithEitherWord() {
    assertEquals(run(0, "build", "--help")[0], run(0, "help", "build")[0]);
    assertEquals(run(0, "--help")[0], run(0, "help")[0]);
  }

  @Test
  void aLinkToNothingIsToldAsOne() throws IOException {
    Path link = Files.createSymbolicLink(folder.resolve("take.wav"), folder.resolve("gone.wav"));
    String line = run(2, "segment", link.toString(), "--local")[1];
    assertTrue(line.contains("FILE is or lies behind a link to something that does not"), line);
    assertFalse(line.contains("--allow"), line);
  }

  /** Not at the end of a take, when what was decided would be lost. */
  @Test
  @EnabledOnOs(OS.LINUX)
  void decisionsThatCannotBeWrittenAreToldBeforeTheTakeIsHeard() throws IOException {
    Path take = Files.createFile(folder.resolve("take.wav"));
    String line = run(2, "follow", "a.yaml", take.toString(), "--decisions", "/proc/d.yaml")[1];
    assertEquals(
        "takewright: /proc/d.yaml: cannot be written; check the file and its folder", line);
  }

  /**
   * A file that does not exist is told by what the command calls it, not by the contract's name.
   */
  @ParameterizedTest
  @CsvSource({
    "build none.yaml --out out, SHEET",
    "check none.yaml, SHEET",
    "segment none.wav, FILE",
    "analyse none.wav, FILE",
    "denoise none.wav b.wav, IN",
    "retune none.wav b.wav, IN",
    "layer none.wav b.wav --room, IN",
    "audit none, DIR",
    "render none b.wav, DIR",
  })
  void filesAreCalledAsTheCommandCallsThem(String call, String name) {
    String line = run(2, (call + " --local").split(" "))[1];
    assertTrue(line.startsWith("takewright: "), line);
    assertFalse(line.contains("config") || line.contains("_file"), line);
    assertFalse(line.contains("something went wrong"), line);
  }

  /** Run by bash itself, as it runs it for a word that is not finished. */
  @Test
  void bashCompletesCommandsAndOptions() throws IOException, InterruptedException {
    Path script = Files.writeString(folder.resolve("completion"), run(0, "completion")[0]);
    assertEquals(List.of("build"), completed(script, "bui"));
    assertEquals(List.of("--as-written"), completed(script, "build", "--as"));
    List<String> options = completed(script, "segment", "--");
    CommandSpec segment = new picocli.CommandLine(new SegmentCommand()).getCommandSpec();
    segment
        .options()
        .forEach(
            option ->
                assertTrue(option.hidden() || options.contains(option.longestName()), "" + option));
  }

  private static List<String> completed(Path script, String... words)
      throws IOException, InterruptedException {
    String line =
        "source "
            + script
            + "; COMP_WORDS=(takewright "
            + String.join(" ", words)
            + "); COMP_CWORD="
            + words.length
            + "; compopt() { :; }; _complete_takewright; printf '%s\\n' \"${COMPREPLY[@]}\"";
    Process bash = new ProcessBuilder("bash", "-c", line).redirectErrorStream(true).start();
    String said = new String(bash.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertEquals(0, bash.waitFor(), said);
    return said.lines().filter(word -> !word.isBlank()).toList();
  }
}
