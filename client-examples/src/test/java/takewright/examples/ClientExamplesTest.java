package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static takewright.examples.TestSounds.A4_HZ;
import static takewright.examples.TestSounds.TONES;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.testing.Outside;

/**
 * Runs each example as a script writer would, against the program's own jar: the lines of the
 * READMEs, what goes wrong, and the shell scripts.
 */
@Order(4)
class ClientExamplesTest {
  @TempDir static Path folder;

  private static Path granted;
  private static Path outside;
  private static Path tone;
  private static Path take;
  private static RunningService service;

  /** A session of what the take holds, and of one note that it does not. Invented. */
  private static final String SHEET =
      """
      library: Example
      takes:
        - file: sustain.wav
          articulation: sustain
          kind: pitched
          notes: [A4, C5, E5]
          dynamics: [mf]
          round_robins: 1
      """;

  @BeforeAll
  static void start() throws Exception {
    granted = Files.createDirectory(folder.resolve("takes of today"));
    outside = Files.createDirectory(folder.resolve("private"));
    tone =
        TestSounds.write(
            granted.resolve("tone.wav"), TestSounds.tones(3, new double[][] {{0.5, 2.5, A4_HZ}}));
    take =
        TestSounds.write(granted.resolve("take.wav"), TestSounds.tones(TestSounds.TAKE_S, TONES));
    Path home = Files.createDirectory(folder.resolve("takes"));
    Files.copy(take, home.resolve("sustain.wav"));
    Files.writeString(home.resolve("session.yaml"), SHEET);
    recorder();
    service = RunningService.start(folder, 0, List.of("--http-port", "0"), granted, home);
  }

  @AfterAll
  static void stop() throws Exception {
    if (service != null) {
      service.close();
    }
  }

  @ParameterizedTest
  @EnumSource
  void findsTheTokenByThePort(Language client) throws Exception {
    List<String> command = client.command(service.address(), folder, "analyse", tone.toString());
    int option = command.indexOf("--token-file");
    command.subList(option, option + 2).clear();

    Language.Run run = Language.ran(command, folder, folder);

    assertEquals(0, run.status(), run::toString);
  }

  @ParameterizedTest
  @EnumSource
  void saysWhatToDoAboutAWrongToken(Language client) throws Exception {
    Path wrong = Files.writeString(folder.resolve("wrong token"), "0123456789abcdef");

    Language.Run run =
        Language.ran(
            client.command(service.address(), wrong, "analyse", tone.toString()), folder, folder);

    assertProblem(run, "UNAUTHENTICATED");
    assertTrue(run.err().contains("token"), run::toString);
  }

  @ParameterizedTest
  @EnumSource
  void saysWhatToDoAboutAFolderThatIsNotGranted(Language client) throws Exception {
    Path mine = outside.resolve("mine " + client + ".wav");
    Files.copy(tone, mine);

    Language.Run run = run(client, "analyse", mine.toString());

    assertProblem(run, "PERMISSION_DENIED");
    assertTrue(run.err().contains("--allow"), run::toString);
  }

  @ParameterizedTest
  @EnumSource
  void saysWhatToDoWhereNothingListens(Language client) throws Exception {
    // Port 1 of this machine: nothing listens there without being root and meaning it.
    Language.Run run =
        Language.ran(
            client.command("127.0.0.1:1", service.tokenFile(), "analyse", tone.toString()),
            folder,
            folder);

    assertProblem(run, "./takewright serve");
  }

  @ParameterizedTest
  @EnumSource
  void saysThatAFileIsNotThere(Language client) throws Exception {
    assertProblem(run(client, "analyse", granted.resolve("nothing.wav").toString()), "nothing.wav");
  }

  @ParameterizedTest
  @EnumSource
  void passesOnWhyAFileIsNotAudio(Language client) throws Exception {
    Path text = Files.writeString(granted.resolve("notes " + client + ".wav"), "not audio at all");

    assertProblem(run(client, "analyse", text.toString()), "INVALID_ARGUMENT");
  }

  @ParameterizedTest
  @EnumSource
  void saysThatAFolderIsNoFile(Language client) throws Exception {
    assertProblem(run(client, "analyse", "--stream", granted.toString()), "is not a file");
    // The other words are about its sheet.
    assertProblem(
        run(client, "follow", granted.toString(), "--pcm", "int16,48000,1"), granted.toString());
  }

  /** The disk has room for 64 KiB, and the result needs 280. */
  @ParameterizedTest
  @EnumSource
  void saysWhereTheDiskIsFullAndLeavesNothing(Language client) throws Exception {
    Outside.tool("mount");
    Path small = Files.createDirectory(folder.resolve("small disk of " + client));
    if (status("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", small.toString()) != 0) {
      throw Outside.forbidden("mounting a file system");
    }
    try {
      Path out = small.resolve("out.wav");
      Language.Run run =
          run(client, "retune", "--stream", "--cents", "5", tone.toString(), out.toString());
      assertProblem(run, out + " cannot be written");
      try (var files = Files.list(small)) {
        assertEquals(List.of(), files.toList());
      }
    } finally {
      status("umount", small.toString());
    }
  }

  private static int status(String... command) throws Exception {
    return new ProcessBuilder(command).redirectErrorStream(true).start().waitFor();
  }

  /**
   * A folder of takes, one of which is none: the others are done, and a second run does no more.
   */
  @Test
  void shellCutsAFolderOfTakes() throws Exception {
    Path takes = Files.createDirectory(granted.resolve("a day's takes"));
    Files.copy(take, takes.resolve("one.wav"));
    Files.copy(tone, takes.resolve("two.WAV"));
    Files.writeString(takes.resolve("three.wav"), "not audio at all");
    Path out = folder.resolve("regions");
    List<String> command =
        List.of(
            Language.EXAMPLES.resolve("shell/segment-folder.sh").toString(),
            takes.toString(),
            out.toString(),
            "--http",
            service.http(),
            "--token-file",
            service.tokenFile().toString());

    Language.Run run = Language.ran(command, folder, folder);

    assertEquals(1, run.status(), run::toString);
    assertTrue(run.err().startsWith("three.wav: takewright: "), run::toString);
    assertEquals(1, run.err().lines().count(), run::toString);
    List<String> rows = Files.readAllLines(out.resolve("one.regions.tsv"));
    assertEquals(1 + TONES.length, rows.size(), rows::toString);
    try (var files = Files.list(out)) {
      assertEquals(2, files.count(), "only whole tables are left");
    }
    Files.delete(takes.resolve("three.wav"));
    Language.Run again = Language.ran(command, folder, folder);
    assertEquals(0, again.status(), again::toString);
    assertEquals(List.of(), again.out());
    assertEquals(2, Language.ran(command.subList(0, 1), folder, folder).status());
  }

  /** Neither a mistyped folder nor a take that is left out goes by without a word. */
  @Test
  void shellSaysWhichTakesItCannotCut() throws Exception {
    Path takes = Files.createDirectory(granted.resolve("another day"));
    String script = Language.EXAMPLES.resolve("shell/segment-folder.sh").toString();
    List<String> command =
        List.of(
            script,
            takes.toString(),
            folder.resolve("more regions").toString(),
            "--http",
            service.http(),
            "--token-file",
            service.tokenFile().toString());
    assertProblem(Language.ran(command, folder, folder), "another day holds no takes");
    Files.copy(take, takes.resolve("one.wav"));
    Files.copy(tone, takes.resolve("one.aif"));

    Language.Run run = Language.ran(command, folder, folder);

    assertEquals(1, run.status(), run::toString);
    assertEquals("one.aif: would have the same table as one.wav; rename one", run.err().strip());
  }

  /** What plain HTTP answers to the shell's script: the same problems in one line. */
  @Test
  void shellSaysWhatToDo() throws Exception {
    Path text = Files.writeString(granted.resolve("notes of shell.wav"), "not audio at all");
    Path mine = Files.copy(tone, outside.resolve("mine of shell.wav"));
    Path wrong = Files.writeString(folder.resolve("wrong token of shell"), "0123456789abcdef");
    String token = service.tokenFile().toString();

    assertProblem(regions(text, service.http(), token), "notes of shell.wav");
    assertProblem(regions(mine, service.http(), token), "--allow");
    assertProblem(regions(tone, service.http(), wrong.toString()), "token");
    assertProblem(regions(tone, "127.0.0.1:1", token), "./takewright serve");
    assertProblem(regions(granted.resolve("none.wav"), service.http(), token), "none.wav");
  }

  private static Language.Run regions(Path file, String http, String token) throws Exception {
    String script = Language.EXAMPLES.resolve("shell/regions.sh").toString();
    return Language.ran(
        List.of(script, file.toString(), "--http", http, "--token-file", token), folder, folder);
  }

  /**
   * What a README shows is run as it stands there, with the service's port in place of the usual
   * one: a hook's lines, a batch, and a session that is followed.
   */
  @ParameterizedTest
  @ValueSource(strings = {"python", "javascript", "java", "cpp", "shell"})
  void theLinesOfTheReadmeDoWhatItSays(String language) throws Exception {
    Path place = Language.EXAMPLES.resolve(language);
    String cpp = Path.of("target", "cpp", "takewright-client").toAbsolutePath().toString();
    if (!language.equals("shell")) {
      // Makes what has to be made once, or skips where something is missing.
      Language.valueOf(language.toUpperCase(Locale.ROOT)).program();
    }
    Set<String> uses = new TreeSet<>();
    for (String line : commands(place.resolve("README.md"))) {
      boolean isFromRoot = language.equals("java");
      String here = line.replace("build/takewright-client", cpp);
      String command =
          here.contains("127.0.0.1:7171")
              ? here.replace("127.0.0.1:7171", service.address())
              : here.contains("127.0.0.1:7172")
                  ? here.replace("127.0.0.1:7172", service.http())
                      + " --token-file "
                      + service.tokenFile()
                  : here + " --server " + service.address();
      Path from = isFromRoot ? Language.EXAMPLES.resolve("..") : place;
      Language.Run run =
          Language.ran(List.of("bash", "-o", "pipefail", "-c", command), folder, from);
      if (line.contains("follow ")) {
        uses.add("follow");
        assertFollowed(run);
      } else if (line.contains("segment ") || line.contains("regions.sh ")) {
        uses.add("hook");
        CheckResult.regions(run, null, null);
      } else if ((line + " ").contains("analyse ")) {
        uses.add("batch");
        assertEquals(0, run.status(), run::toString);
        assertTrue(run.out().stream().anyMatch(l -> l.contains("/sustain.wav\t")), run::toString);
      } else if (line.contains("info.sh ")) {
        assertEquals(0, run.status(), run::toString);
        assertTrue(run.out().contains("granted_folders\t" + granted.toRealPath()), run::toString);
      } else if (line.contains("build ")) {
        assertEquals(1, run.status(), "E5 is missing: " + run);
        assertTrue(run.out().get(0).startsWith("2 samples, 1 cell missing"), run::toString);
      } else {
        uses.add("batch");
        assertEquals(0, run.status(), run::toString);
        assertTrue(Files.size(folder.resolve("regions/sustain.regions.tsv")) > 0);
      }
    }
    assertEquals(Set.of("batch", "follow", "hook"), uses);
  }

  /** The indented lines of a README that call its program; those that end in a backslash go on. */
  private static List<String> commands(Path readme) throws IOException {
    List<String> commands = new ArrayList<>();
    for (String line : Files.readString(readme).replace("\\\n", " ").split("\n")) {
      boolean calls =
          line.matches(
              " {4}.*(takewright_client.py|takewright-client\\.js|build/takewright-client|examples\\.Client|\\./(regions|segment-folder|info)\\.sh|\\.\\./\\.\\./takewright)"
                  + " .*");
      if (calls) {
        commands.add(line.strip());
      }
    }
    return commands;
  }

  /** In place of ALSA's recorder: what it would have recorded. */
  private static void recorder() throws IOException {
    Path tools = Files.createDirectory(folder.resolve("bin"));
    Path recorder = tools.resolve("arecord");
    // The JDK writes a WAV header of 44 bytes.
    Files.writeString(recorder, "#!/bin/sh\nexec tail -c +45 \"$HOME/takes/sustain.wav\"\n");
    assertTrue(recorder.toFile().setExecutable(true));
    Files.createSymbolicLink(tools.resolve("python3"), Outside.python());
  }

  private static void assertFollowed(Language.Run run) {
    assertEquals(0, run.status(), run::toString);
    if (run.out().get(0).startsWith(" ")) {
      // The command's own words, for a person.
      List<String> missing = run.out().stream().filter(l -> l.contains("missing")).toList();
      String last = missing.get(missing.size() - 1);
      assertTrue(last.startsWith("missing 1") && last.contains("E5 mf rr1"), run::toString);
      return;
    }
    Map<String, String[]> notes = new TreeMap<>();
    String missing = "";
    for (String line : run.out()) {
      String[] fields = line.split("\t", -1);
      if (fields[0].equals("note")) {
        assertEquals(9, fields.length, line);
        notes.put(fields[1], fields);
      } else {
        missing = line;
      }
    }
    // MIDI: 69 is A4, so 76 is the E above it.
    assertEquals("missing\t1\t76 mf rr1", missing, run::toString);
    int tone = 0;
    for (String[] fields : notes.values()) {
      assertEquals(TONES[tone][0], Double.parseDouble(fields[2]), 0.02, "onset, in seconds");
      assertTrue(Double.parseDouble(fields[3]) >= TONES[tone][1] - 0.02, run::toString);
      assertEquals(TONES[tone][2] == A4_HZ ? "A4" : "C5", fields[4]);
      assertEquals(0, Double.parseDouble(fields[5]), 1.0, "cents");
      // The first is played once more, after its turn.
      assertEquals(tone == 2 ? "extra" : "kept", fields[6], run::toString);
      tone++;
    }
    assertEquals(TONES.length, tone, run::toString);
  }

  private static void assertProblem(Language.Run run, String says) {
    assertEquals(2, run.status(), run::toString);
    assertEquals(1, run.err().lines().count(), run::toString);
    assertTrue(run.err().startsWith("takewright: "), run::toString);
    assertTrue(run.err().contains(says), run::toString);
  }

  private static Language.Run run(Language client, String... words) throws Exception {
    return Language.ran(client.command(service, words), folder, folder);
  }
}
