package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.MethodSource;
import takewright.testing.Outside;

/** Every client does what the generated list of uses says, and reads the WAV files there are. */
@Order(1)
class ConformanceTest {
  /** The shell's script for a command. */
  private static final Map<String, String> SCRIPTS =
      Map.of("segment", "regions.sh", "info", "info.sh");

  @TempDir static Path folder;

  private static Path granted;
  private static Path outside;
  private static Path tone;
  private static Path take;
  private static RunningService service;

  @BeforeAll
  static void start() throws Exception {
    granted = Files.createDirectory(folder.resolve("takes of today"));
    outside = Files.createDirectory(folder.resolve("private"));
    tone =
        TestSounds.write(
            granted.resolve("tone.wav"),
            TestSounds.tones(3, new double[][] {{0.5, 2.5, TestSounds.A4_HZ}}));
    take =
        TestSounds.write(
            folder.resolve("take.wav"), TestSounds.tones(TestSounds.TAKE_S, TestSounds.TONES));
    service = RunningService.start(folder, 0, List.of("--http-port", "0"), granted);
  }

  @AfterAll
  static void stop() {
    if (service != null) {
      service.close();
    }
  }

  static Stream<Arguments> uses() throws IOException {
    Path vectors = Path.of(System.getProperty("takewright.root"), "shared", "naming-vectors.csv");
    return Conformance.uses(vectors).stream()
        .flatMap(use -> Stream.of(Language.values()).map(client -> Arguments.of(client, use)));
  }

  @ParameterizedTest
  @MethodSource("uses")
  void does(Language client, Conformance.Use use) throws Exception {
    Path place =
        Files.createTempDirectory(
            use.way() == Conformance.Way.PATH ? granted : outside, client + " ");
    Path in =
        Files.copy(use.input() == Conformance.Sound.TAKE ? take : tone, place.resolve("in.wav"));
    Path out = place.resolve("out.wav");
    List<String> words = new ArrayList<>(use.words());
    words.replaceAll(w -> w.equals("IN") ? in.toString() : w.equals("OUT") ? out.toString() : w);

    Language.Run run = run(client, words.toArray(String[]::new));

    assertEquals(0, run.status(), run::toString);
    use.expected().check(run, in, out);
    try (var files = Files.list(place)) {
      assertEquals(words.contains(out.toString()) ? 2 : 1, files.count(), "nothing else is left");
    }
    if (words.contains(out.toString())) {
      byte[] before = Files.readAllBytes(out);
      Files.write(out, new byte[] {1}, java.nio.file.StandardOpenOption.APPEND);
      Language.Run again = run(client, words.toArray(String[]::new));
      assertEquals(2, again.status(), "a file that is there is not replaced: " + again);
      assertEquals(before.length + 1, Files.size(out));
    }
  }

  /** The shell's scripts ask by plain HTTP: those uses that one of them is for. */
  static Stream<Conformance.Use> usesOfTheShell() throws IOException {
    Path vectors = Path.of(System.getProperty("takewright.root"), "shared", "naming-vectors.csv");
    return Conformance.uses(vectors).stream()
        .filter(
            use -> use.way() == Conformance.Way.PATH && SCRIPTS.containsKey(use.words().get(0)));
  }

  @ParameterizedTest
  @MethodSource("usesOfTheShell")
  void theShellDoes(Conformance.Use use) throws Exception {
    Path place = Files.createTempDirectory(granted, "shell ");
    Path in = Files.copy(take, place.resolve("in.wav"));
    List<String> command = new ArrayList<>(use.words());
    command.set(
        0, Language.EXAMPLES.resolve("shell").resolve(SCRIPTS.get(command.get(0))).toString());
    // Port 1 of this machine is no proxy; nobody asks it for a service of this machine.
    command.addAll(0, List.of("env", "http_proxy=http://127.0.0.1:1"));
    command.replaceAll(word -> word.equals("IN") ? in.toString() : word);
    command.addAll(
        List.of("--http", service.http(), "--token-file", service.tokenFile().toString()));

    Language.Run run = Language.ran(command, folder, folder);

    assertEquals(0, run.status(), run::toString);
    use.expected().check(run, in, null);
  }

  /** What other programs write: extensible headers, floats, RF64, a length that was never set. */
  @ParameterizedTest
  @EnumSource
  void readsTheWavFilesThatThereAre(Language client) throws Exception {
    Path plain = Files.copy(tone, outside.resolve(client + "-plain.wav"));
    List<String> files = new ArrayList<>();
    for (String encoding : List.of("signed 16", "signed 24", "signed 32", "floating-point 32")) {
      String[] parts = encoding.split(" ");
      Path file = outside.resolve(client + "-" + parts[0] + parts[1] + ".wav");
      sox(plain, file, "-e", parts[0], "-b", parts[1]); // 24 bits and more: an extensible header
      files.add(file.toString());
    }
    if (client != Language.JAVA) { // the JDK's reader knows neither
      files.add(ffmpegRf64(plain, outside.resolve(client + "-rf64.wav")).toString());
      Path open = outside.resolve(client + "-open.wav");
      byte[] bytes = Files.readAllBytes(plain);
      for (int i = 40; i < 44; i++) {
        bytes[i] = (byte) 0xff; // the JDK writes a header of 44 bytes, which ends with this length
      }
      files.add(Files.write(open, bytes).toString());
    }
    List<String> words = new ArrayList<>(List.of("analyse", "--stream"));
    words.addAll(files);

    Language.Run run = run(client, words.toArray(String[]::new));

    assertEquals(0, run.status(), run::toString);
    for (int i = 0; i < files.size(); i++) {
      CheckResult.tone(run.fields(i + 1), files.get(i));
    }
  }

  private static void sox(Path from, Path to, String... options) throws Exception {
    List<String> command =
        new ArrayList<>(List.of(Outside.tool("sox").toString(), "-D", from.toString()));
    command.addAll(List.of(options));
    command.add(to.toString());
    Language.Run run = Language.ran(command);
    assertEquals(0, run.status(), run::toString);
  }

  private static Path ffmpegRf64(Path from, Path to) throws Exception {
    Language.Run run =
        Language.ran(
            List.of(
                Outside.tool("ffmpeg").toString(),
                "-v",
                "error",
                "-y",
                "-i",
                from.toString(),
                "-c:a",
                "pcm_s24le",
                "-rf64",
                "always",
                to.toString()));
    assertEquals(0, run.status(), run::toString);
    return to;
  }

  @ParameterizedTest
  @EnumSource
  void silenceHasNoNoteAndNoLoudness(Language client) throws Exception {
    Path silence = TestSounds.write(granted.resolve("silence.wav"), new double[2 * 48_000]);

    Language.Run run = run(client, "analyse", silence.toString());

    assertEquals(0, run.status(), run::toString);
    assertEquals(silence + "\t\t\t", run.out().get(1));
  }

  @ParameterizedTest
  @EnumSource
  void namesARealNote(Language client) throws Exception {
    Path note = granted.resolve("violin A4.wav");
    Files.copy(
        Outside.recordings("violin").resolve("A4.wav"), note, StandardCopyOption.REPLACE_EXISTING);

    Language.Run run = run(client, "analyse", note.toString());

    assertEquals(0, run.status(), run::toString);
    assertEquals("A4", run.fields(1)[1], run::toString);
  }

  @ParameterizedTest
  @EnumSource
  void aBatchGoesOnPastABadFile(Language client) throws Exception {
    Path text = Files.writeString(granted.resolve("notes.wav"), "not audio at all");
    Path gone = granted.resolve("nothing.wav");

    for (boolean streams : new boolean[] {false, true}) {
      List<String> words =
          new ArrayList<>(List.of("analyse", text.toString(), gone.toString(), tone.toString()));
      if (streams) {
        words.add("--stream");
      }
      Language.Run run = run(client, words.toArray(String[]::new));

      assertEquals(1, run.status(), run::toString);
      assertEquals(2, run.out().size(), run::toString);
      CheckResult.tone(run.fields(1), tone.toString());
      List<String> said = run.err().lines().toList();
      assertEquals(2, said.size(), run::toString);
      assertTrue(said.get(0).matches("takewright: .*notes\\.wav.*"), run::toString);
      assertTrue(said.get(1).matches("takewright: .*nothing\\.wav.*"), run::toString);
    }
  }

  @ParameterizedTest
  @EnumSource
  void whatIsCutOffIsNotStreamedAsIfItWereWhole(Language client) throws Exception {
    byte[] whole = Files.readAllBytes(tone);
    Path half = outside.resolve(client + "-half.wav");
    Files.write(half, java.util.Arrays.copyOf(whole, whole.length / 2));

    Language.Run run = run(client, "analyse", "--stream", half.toString());

    if (client == Language.JAVA) {
      return; // the JDK's reader does not say where the audio should end
    }
    assertEquals(2, run.status(), run::toString);
    assertTrue(run.err().contains("is cut off"), run::toString);
    assertFalse(run.err().contains("Exception"), run::toString);
  }

  private static Language.Run run(Language client, String... words) throws Exception {
    return Language.ran(client.command(service, words), folder, folder);
  }
}
