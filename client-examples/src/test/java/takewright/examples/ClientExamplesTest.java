package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.File;
import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Random;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import javax.sound.sampled.AudioFileFormat;
import javax.sound.sampled.AudioFormat;
import javax.sound.sampled.AudioInputStream;
import javax.sound.sampled.AudioSystem;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.testing.Outside;

/**
 * Runs each example as a script writer would, against the program's own jar, and holds what it
 * prints against notes that are known: tones made here by their frequency, and real recordings by
 * their file names.
 */
class ClientExamplesTest {
  private static final Path EXAMPLES =
      Path.of(System.getProperty("takewright.root"), "client-examples");

  private static final Path JAVA_HOME = Path.of(System.getProperty("java.home"), "bin");

  private static final int RATE_HZ = 48_000;

  /** ISO 16: A4 is 440 Hz; C5 is three equal-tempered semitones above. */
  private static final double A4_HZ = 440;

  private static final double C5_HZ = A4_HZ * Math.pow(2, 3 / 12.0);

  /** Seconds: onset and end of each tone of the take, and its frequency. */
  private static final double[][] TONES = {{1.0, 2.2, A4_HZ}, {3.2, 4.4, C5_HZ}, {5.4, 6.6, A4_HZ}};

  @TempDir static Path folder;

  private static Path granted;
  private static Path outside;
  private static Path tone;
  private static Path take;
  private static RunningService service;
  private static Run stubs;
  private static Run built;

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

  /** The languages. */
  enum Client {
    PYTHON,
    JAVASCRIPT,
    JAVA,
    CPP;

    List<String> command(String verb, String server, Path tokenFile, List<String> rest)
        throws Exception {
      List<String> command = new ArrayList<>();
      switch (this) {
        case PYTHON ->
            command.addAll(
                List.of(
                    python(), EXAMPLES.resolve("python/takewright_client.py").toString(), verb));
        case JAVASCRIPT -> {
          if (!Files.isDirectory(EXAMPLES.resolve("javascript/node_modules"))) {
            throw Outside.missing(
                "the JavaScript client's modules are not installed; ./takewright test installs"
                    + " them");
          }
          command.addAll(
              List.of(
                  Outside.tool("node").toString(),
                  EXAMPLES.resolve("javascript/takewright-client.js").toString(),
                  verb));
        }
        case CPP -> command.addAll(List.of(cpp(), verb));
        case JAVA ->
            command.addAll(
                List.of(
                    JAVA_HOME.resolve("java").toString(),
                    "-cp",
                    System.getProperty("java.class.path"),
                    "takewright.examples.Client",
                    verb));
      }
      command.addAll(List.of("--server", server, "--token-file", tokenFile.toString()));
      command.addAll(rest);
      return command;
    }

    /** The program that the example's README makes, once. */
    private static String cpp() throws Exception {
      for (String tool : List.of("make", "g++", "pkg-config", "protoc", "grpc_cpp_plugin")) {
        Outside.tool(tool);
      }
      if (ran(List.of("pkg-config", "--exists", "grpc++", "protobuf")).status() != 0) {
        throw Outside.missing("libgrpc++-dev and libprotobuf-dev are not installed");
      }
      Path out = Files.createDirectories(folder.resolve("cpp"));
      if (built == null) {
        built =
            ran(
                List.of(
                    "make", "-s", "-j2", "-C", EXAMPLES.resolve("cpp").toString(), "OUT=" + out));
      }
      assertEquals(0, built.status(), built::toString);
      return out.resolve("takewright-client").toString();
    }

    private static String python() throws Exception {
      String python = Outside.python().toString();
      // As the example's README says, once.
      if (stubs == null) {
        stubs = ran(List.of(EXAMPLES.resolve("python/generate.sh").toString()));
      }
      if (stubs.status() != 0) {
        throw Outside.missing(stubs.err().strip());
      }
      return python;
    }
  }

  /** What a run printed and how it ended. */
  record Run(int status, List<String> out, String err) {
    /** The fields of a line, which must be there. */
    String[] fields(int line) {
      assertTrue(line < out.size(), () -> "no line " + line + " in " + this);
      return out.get(line).split("\t", -1);
    }
  }

  @BeforeAll
  static void start() throws Exception {
    granted = Files.createDirectory(folder.resolve("takes of today"));
    outside = Files.createDirectory(folder.resolve("private"));
    tone = write(granted.resolve("tone.wav"), 3, new double[][] {{0.5, 2.5, A4_HZ}});
    take = write(granted.resolve("take.wav"), 7.6, TONES);
    Path home = Files.createDirectory(folder.resolve("takes"));
    Files.copy(take, home.resolve("sustain.wav"));
    Files.writeString(home.resolve("session.yaml"), SHEET);
    recorder();
    service = RunningService.start(folder, granted, home);
  }

  @AfterAll
  static void stop() throws Exception {
    if (service != null) {
      service.close();
    }
  }

  @ParameterizedTest
  @EnumSource
  void namesAToneThatIsGivenByItsPath(Client client) throws Exception {
    Run run = run(client, "analyse", tone.toString());

    assertEquals(0, run.status(), run::toString);
    assertEquals("file\tnote\tcents\tlevel_lufs", run.out().get(0));
    assertTone(run.fields(1), tone.toString());
  }

  @ParameterizedTest
  @EnumSource
  void namesARealNote(Client client) throws Exception {
    Path note = granted.resolve("violin A4.wav");
    Files.copy(
        Outside.recordings("violin").resolve("A4.wav"), note, StandardCopyOption.REPLACE_EXISTING);

    Run run = run(client, "analyse", note.toString());

    assertEquals(0, run.status(), run::toString);
    assertEquals("A4", run.fields(1)[1], run::toString);
  }

  @Test
  void pythonStreamsWhatTheServiceMayNotRead() throws Exception {
    Path mine = Files.copy(tone, outside.resolve("streamed.wav"));

    Run run = run(Client.PYTHON, "analyse", "--stream", mine.toString());

    assertEquals(0, run.status(), run::toString);
    assertTone(run.fields(1), mine.toString());
  }

  @Test
  void javaScriptStreamsRawPcm() throws Exception {
    Path raw = outside.resolve("tone.raw");
    byte[] wav = Files.readAllBytes(tone);
    // The JDK writes a WAV header of 44 bytes.
    Files.write(raw, Arrays.copyOfRange(wav, 44, wav.length));

    Run run = run(Client.JAVASCRIPT, "analyse", "--pcm", "int24," + RATE_HZ + ",1", raw.toString());

    assertEquals(0, run.status(), run::toString);
    assertTone(run.fields(1), raw.toString());
  }

  @ParameterizedTest
  @EnumSource
  void findsTheRegionsOfATake(Client client) throws Exception {
    assertRegions(run(client, "segment", take.toString()));
  }

  @Test
  void pythonFindsTheRegionsOfAStreamedTake() throws Exception {
    assertRegions(run(Client.PYTHON, "segment", "--stream", take.toString()));
  }

  @ParameterizedTest
  @EnumSource
  void findsTheTokenByThePort(Client client) throws Exception {
    List<String> command =
        client.command("analyse", service.address(), folder, List.of(tone.toString()));
    int option = command.indexOf("--token-file");
    command.subList(option, option + 2).clear();

    Run run = ran(command);

    assertEquals(0, run.status(), run::toString);
  }

  @ParameterizedTest
  @EnumSource
  void saysWhatToDoAboutAWrongToken(Client client) throws Exception {
    Path wrong = Files.writeString(folder.resolve("wrong token"), "0123456789abcdef");

    Run run = ran(client.command("analyse", service.address(), wrong, List.of(tone.toString())));

    assertProblem(run, "UNAUTHENTICATED");
    assertTrue(run.err().contains("token"), run::toString);
  }

  @ParameterizedTest
  @EnumSource
  void saysWhatToDoAboutAFolderThatIsNotGranted(Client client) throws Exception {
    Path mine = outside.resolve("mine " + client + ".wav");
    Files.copy(tone, mine);

    Run run = run(client, "analyse", mine.toString());

    assertProblem(run, "PERMISSION_DENIED");
    assertTrue(run.err().contains("--allow"), run::toString);
  }

  @ParameterizedTest
  @EnumSource
  void saysWhatToDoWhereNothingListens(Client client) throws Exception {
    // Port 1 of this machine: nothing listens there without being root and meaning it.
    Run run =
        ran(
            client.command(
                "analyse", "127.0.0.1:1", service.tokenFile(), List.of(tone.toString())));

    assertProblem(run, "./takewright serve");
  }

  @ParameterizedTest
  @EnumSource
  void saysThatAFileIsNotThere(Client client) throws Exception {
    assertProblem(run(client, "analyse", granted.resolve("nothing.wav").toString()), "nothing.wav");
  }

  @ParameterizedTest
  @EnumSource
  void passesOnWhyAFileIsNotAudio(Client client) throws Exception {
    Path text = Files.writeString(granted.resolve("notes " + client + ".wav"), "not audio at all");

    assertProblem(run(client, "analyse", text.toString()), "INVALID_ARGUMENT");
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
            EXAMPLES.resolve("shell/segment-folder.sh").toString(),
            takes.toString(),
            out.toString(),
            "--server",
            service.address(),
            "--token-file",
            service.tokenFile().toString());

    Run run = ran(command);

    assertEquals(1, run.status(), run::toString);
    assertTrue(run.err().startsWith("three.wav: takewright: "), run::toString);
    assertEquals(1, run.err().lines().count(), run::toString);
    List<String> rows = Files.readAllLines(out.resolve("one.regions.csv"));
    assertEquals(1 + TONES.length, rows.size(), rows::toString);
    try (var files = Files.list(out)) {
      assertEquals(2, files.count(), "only whole tables are left");
    }
    Files.delete(takes.resolve("three.wav"));
    Run again = ran(command);
    assertEquals(0, again.status(), again::toString);
    assertEquals(List.of(), again.out());
    assertEquals(2, ran(command.subList(0, 1)).status());
  }

  /**
   * What a README shows is run as it stands there, with the service's port in place of the usual
   * one: a hook's lines, a batch, and a session that is followed.
   */
  @ParameterizedTest
  @ValueSource(strings = {"python", "javascript", "java", "cpp", "shell"})
  void theLinesOfTheReadmeDoWhatItSays(String language) throws Exception {
    Path place = EXAMPLES.resolve(language);
    if (!language.equals("shell")) {
      // Makes what has to be made once, or skips where something is missing.
      Client.valueOf(language.toUpperCase(Locale.ROOT)).command("", "", folder, List.of());
    }
    Set<String> uses = new TreeSet<>();
    for (String line : commands(place.resolve("README.md"))) {
      boolean isFromRoot = language.equals("java");
      String here = line.replace("build/takewright-client", folder + "/cpp/takewright-client");
      String command =
          here.contains("127.0.0.1:7171")
              ? here.replace("127.0.0.1:7171", service.address())
              : here + " --server " + service.address();
      Path from = isFromRoot ? EXAMPLES.resolve("..") : place;
      Run run = ran(List.of("bash", "-o", "pipefail", "-c", command), from);
      if (line.contains("follow ")) {
        uses.add("follow");
        assertFollowed(run);
      } else if (line.contains("segment ") || line.contains("regions.sh ")) {
        uses.add("hook");
        assertRegions(run);
      } else if ((line + " ").contains("analyse ")) {
        uses.add("batch");
        assertEquals(0, run.status(), run::toString);
        assertTrue(run.out().stream().anyMatch(l -> l.contains("/sustain.wav\t")), run::toString);
      } else if (line.contains("build ")) {
        assertEquals(1, run.status(), "E5 is missing: " + run);
        assertTrue(run.out().get(0).startsWith("2 samples, 1 cell missing"), run::toString);
      } else {
        uses.add("batch");
        assertEquals(0, run.status(), run::toString);
        assertTrue(Files.size(folder.resolve("regions/sustain.regions.csv")) > 0);
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
              " {4}.*(takewright_client.py|takewright-client\\.js|build/takewright-client"
                  + "|examples\\.Client|\\./(regions|segment-folder)\\.sh|\\.\\./\\.\\./takewright) .*");
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

  private static void assertFollowed(Run run) {
    assertEquals(0, run.status(), run::toString);
    if (run.out().get(0).startsWith(" ")) {
      // The command's own words, for a person.
      List<String> missing = run.out().stream().filter(l -> l.contains("missing")).toList();
      assertTrue(missing.get(missing.size() - 1).contains("missing 1: note 76"), run::toString);
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

  private static void assertTone(String[] fields, String file) {
    assertEquals(file, fields[0]);
    assertEquals("A4", fields[1]);
    assertEquals(0, Double.parseDouble(fields[2]), 1.0, "cents off a tone of exactly 440 Hz");
    // ITU-R BS.1770-5: a full-scale sine of about 1 kHz in one channel reads -3.01 LKFS; this one
    // is at -12 dBFS, and the weighting at 440 Hz is within 1 dB of that at 1 kHz.
    assertEquals(-15, Double.parseDouble(fields[3]), 1.5, "LUFS");
  }

  private static void assertRegions(Run run) {
    assertEquals(0, run.status(), run::toString);
    assertEquals("start_s\tonset_s\tend_s\tnote", run.out().get(0));
    assertEquals(TONES.length, run.out().size() - 1, run::toString);
    for (int i = 0; i < TONES.length; i++) {
      String[] fields = run.fields(i + 1);
      double start = Double.parseDouble(fields[0]);
      double onset = Double.parseDouble(fields[1]);
      double end = Double.parseDouble(fields[2]);
      assertTrue(start <= onset && onset < end, run::toString);
      assertEquals(TONES[i][0], onset, 0.02, "onset, in seconds");
      assertTrue(end >= TONES[i][1] - 0.02, "cut before the end: " + run);
      assertEquals(TONES[i][2] == A4_HZ ? "A4" : "C5", fields[3]);
    }
  }

  private static void assertProblem(Run run, String says) {
    assertEquals(2, run.status(), run::toString);
    assertEquals(1, run.err().lines().count(), run::toString);
    assertTrue(run.err().startsWith("takewright: "), run::toString);
    assertTrue(run.err().contains(says), run::toString);
  }

  private static Run run(Client client, String verb, String... rest) throws Exception {
    return ran(client.command(verb, service.address(), service.tokenFile(), List.of(rest)));
  }

  private static Run ran(List<String> command) throws IOException, InterruptedException {
    return ran(command, folder);
  }

  private static Run ran(List<String> command, Path from) throws IOException, InterruptedException {
    Path err = Files.createTempFile(folder, "err", ".txt");
    ProcessBuilder builder =
        new ProcessBuilder(command).directory(from.toFile()).redirectError(err.toFile());
    builder.environment().put("HOME", folder.toString()); // where the service wrote its token
    builder
        .environment()
        .merge("PATH", folder.resolve("bin") + ":" + JAVA_HOME, (old, own) -> own + ":" + old);
    Process process = builder.start();
    process.getOutputStream().close();
    List<String> out;
    try (InputStream in = process.getInputStream()) {
      out = new String(in.readAllBytes(), StandardCharsets.UTF_8).lines().toList();
    }
    // Making the C++ client takes the longest: a minute where others work on the machine, too.
    assertTrue(process.waitFor(240, TimeUnit.SECONDS), "did not end: " + command);
    return new Run(process.exitValue(), out, Files.readString(err));
  }

  /**
   * A mono WAV of 24 bits by the JDK's own writer: tones with eight falling partials, the first at
   * -12 dBFS, faded in over 3 ms and out over 50 ms, on noise of about -72 dBFS.
   */
  private static Path write(Path file, double seconds, double[][] tones) throws IOException {
    int frames = (int) Math.round(seconds * RATE_HZ);
    double[] sound = new double[frames];
    Random noise = new Random(5);
    for (int i = 0; i < frames; i++) {
      sound[i] = 2.5e-4 * noise.nextGaussian();
    }
    for (double[] tone : tones) {
      int from = (int) Math.round(tone[0] * RATE_HZ);
      int to = (int) Math.round(tone[1] * RATE_HZ);
      for (int i = from; i < to; i++) {
        double fade =
            Math.min(1, Math.min((i - from) / (0.003 * RATE_HZ), (to - i) / (0.05 * RATE_HZ)));
        double t = (double) (i - from) / RATE_HZ;
        for (int k = 1; k <= 8; k++) {
          sound[i] += 0.25 * Math.pow(0.3, k - 1) * fade * Math.sin(2 * Math.PI * k * tone[2] * t);
        }
      }
    }
    ByteBuffer bytes = ByteBuffer.allocate(3 * frames).order(ByteOrder.LITTLE_ENDIAN);
    for (double value : sound) {
      int sample = (int) Math.round(value * 8_388_608); // full scale of 24 bits
      bytes.put((byte) sample).put((byte) (sample >> 8)).put((byte) (sample >> 16));
    }
    AudioFormat format = new AudioFormat(RATE_HZ, 24, 1, true, false);
    try (AudioInputStream stream =
        new AudioInputStream(new ByteArrayInputStream(bytes.array()), format, frames)) {
      AudioSystem.write(stream, AudioFileFormat.Type.WAVE, new File(file.toString()));
    }
    return file;
  }
}
