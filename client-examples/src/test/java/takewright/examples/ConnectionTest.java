package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.InputStream;
import java.io.OutputStream;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import takewright.testing.Outside;

/** How each client calls: certificates, deadlines, proxies, closed pipes and restarted services. */
@Order(2)
class ConnectionTest {
  @TempDir static Path folder;

  private static Path granted;
  private static Path tone;
  private static RunningService service;

  @BeforeAll
  static void start() throws Exception {
    granted = Files.createDirectory(folder.resolve("takes"));
    tone =
        TestSounds.write(
            granted.resolve("tone.wav"),
            TestSounds.tones(3, new double[][] {{0.5, 2.5, TestSounds.A4_HZ}}));
    service = RunningService.start(folder, granted);
  }

  @AfterAll
  static void stop() {
    if (service != null) {
      service.close();
    }
  }

  /** A certificate for this machine and its key, by OpenSSL. */
  private static void certificate(Path certificate, Path key) throws Exception {
    Language.Run run =
        Language.ran(
            List.of(
                Outside.tool("openssl").toString(),
                "req",
                "-x509",
                "-newkey",
                "ec",
                "-pkeyopt",
                "ec_paramgen_curve:prime256v1",
                "-nodes",
                "-days",
                "2",
                "-subj",
                "/CN=localhost",
                "-addext",
                "subjectAltName=DNS:localhost,IP:127.0.0.1",
                "-keyout",
                key.toString(),
                "-out",
                certificate.toString()));
    assertEquals(0, run.status(), run::toString);
  }

  @ParameterizedTest
  @EnumSource
  void callsAServiceWithACertificate(Language client) throws Exception {
    Path certificate = folder.resolve("server.crt");
    Path key = folder.resolve("server.key");
    certificate(certificate, key);
    Path home = Files.createTempDirectory(folder, "tls");
    List<String> options =
        List.of("--tls-cert", certificate.toString(), "--tls-key", key.toString());
    try (RunningService secured = RunningService.start(home, 0, options, granted)) {
      String server = "localhost:" + secured.port();
      List<String> command =
          client.command(server, secured.tokenFile(), "analyse", tone.toString());
      List<String> trusting = new ArrayList<>(command);
      trusting.addAll(List.of("--tls-ca", certificate.toString()));

      Language.Run run = Language.ran(trusting, folder, folder);

      assertEquals(0, run.status(), run::toString);
      CheckResult.tone(run.fields(1), tone.toString());
      Language.Run bare = Language.ran(command, folder, folder);
      assertEquals(2, bare.status(), "without the certificate");
      assertTrue(bare.err().contains("--tls-ca"), bare::toString);
      Path strange = folder.resolve("stranger.crt");
      certificate(strange, folder.resolve("stranger.key"));
      List<String> mistaken = new ArrayList<>(command);
      mistaken.addAll(List.of("--tls-ca", strange.toString()));
      Language.Run wrong = Language.ran(mistaken, folder, folder);
      assertTrue(wrong.err().contains("is not signed by the CA"), wrong::toString);
      List<String> noFile = new ArrayList<>(command);
      noFile.addAll(List.of("--tls-ca", folder.resolve("no.crt").toString()));
      Language.Run refused = Language.ran(noFile, folder, folder);
      assertEquals(2, refused.status(), refused::toString);
      assertTrue(refused.err().matches("takewright: .*no\\.crt.*PEM.*\\R"), refused::toString);
    }
    List<String> strict = new ArrayList<>(options);
    strict.addAll(List.of("--tls-client-ca", certificate.toString()));
    try (RunningService secured = RunningService.start(home, 0, strict, granted)) {
      List<String> command =
          client.command(
              "localhost:" + secured.port(), secured.tokenFile(), "analyse", tone.toString());
      command = new ArrayList<>(command);
      command.addAll(List.of("--tls-ca", certificate.toString()));
      Language.Run without = Language.ran(command, folder, folder);
      assertEquals(2, without.status(), without::toString);
      assertTrue(without.err().contains("--tls-cert and --tls-key"), without::toString);
    }
  }

  @ParameterizedTest
  @EnumSource
  void givesACallNoLongerThanItIsTold(Language client) throws Exception {
    Language.Run run =
        Language.ran(
            client.command(service, "analyse", tone.toString(), "--timeout", "0.001"),
            folder,
            folder);

    assertEquals(2, run.status(), run::toString);
    assertTrue(run.err().contains("DEADLINE_EXCEEDED"), run::toString);
    assertTrue(run.err().contains("--timeout"), run::toString);
  }

  /** Port 1 of this machine is no proxy: who asks it gets no answer. */
  @ParameterizedTest
  @EnumSource
  void asksNoProxyForAServiceOfThisMachine(Language client) throws Exception {
    List<String> command = client.command(service, "analyse", tone.toString());
    if (client == Language.JAVA) {
      command.addAll(1, List.of("-Dhttps.proxyHost=127.0.0.1", "-Dhttps.proxyPort=1"));
    }
    ProcessBuilder builder = Language.builder(command, folder, folder);
    for (String name : List.of("http_proxy", "https_proxy", "grpc_proxy", "HTTPS_PROXY")) {
      builder.environment().put(name, "http://127.0.0.1:1");
    }
    builder.environment().remove("no_proxy");
    Process process = builder.redirectErrorStream(true).start();
    String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);

    assertTrue(process.waitFor(60, TimeUnit.SECONDS));
    assertEquals(0, process.exitValue(), said);
  }

  /** Whoever reads the lines ends after the first, as `head -1` does. */
  @ParameterizedTest
  @EnumSource
  void endsQuietlyWhereItsReaderHasGone(Language client) throws Exception {
    List<String> words = new ArrayList<>(List.of("analyse"));
    words.addAll(Collections.nCopies(30, tone.toString()));
    Path err = folder.resolve("closed pipe " + client + ".txt");
    Process process =
        Language.builder(client.command(service, words.toArray(String[]::new)), folder, folder)
            .redirectError(err.toFile())
            .start();
    InputStream lines = process.getInputStream();
    while (lines.read() != '\n') {
      // The header.
    }
    lines.close();

    assertTrue(process.waitFor(60, TimeUnit.SECONDS), "goes on without a reader");
    assertEquals("", Files.readString(err));
    assertEquals(128 + 13, process.exitValue(), "as the shell has it for SIGPIPE");
  }

  private static final String SHEET =
      """
      library: Example
      takes:
        - {file: sustain.wav, articulation: sustain, notes: [A4, C5, E5]}
      """;

  /**
   * The service is killed in the middle of a take and started again on its port, with a new token:
   * nothing is lost.
   */
  @ParameterizedTest
  @EnumSource
  void followsThroughARestartOfTheService(Language client) throws Exception {
    byte[] wav =
        Files.readAllBytes(
            TestSounds.write(
                folder.resolve("take.wav"), TestSounds.tones(TestSounds.TAKE_S, TestSounds.TONES)));
    byte[] raw = Arrays.copyOfRange(wav, 44, wav.length); // the JDK writes a header of 44 bytes
    Path sheet = Files.writeString(folder.resolve("session.yaml"), SHEET);
    Path home = Files.createTempDirectory(folder, "home");
    RunningService first = RunningService.start(home);
    int port = first.port();
    List<String> command =
        client.command(
            first, "follow", sheet.toString(), "--pcm", "int24," + TestSounds.RATE_HZ + ",1");
    Path out = folder.resolve("followed " + client + ".txt");
    Path err = folder.resolve("said " + client + ".txt");
    Process process =
        Language.builder(command, home, folder)
            .redirectOutput(out.toFile())
            .redirectError(err.toFile())
            .start();
    try (OutputStream recorder = process.getOutputStream()) {
      int half = 3 * (int) (4.0 * TestSounds.RATE_HZ);
      recorder.write(raw, 0, half);
      recorder.flush();
      awaitLine(out, "note\t1\t");
      first.kill();
      awaitLine(err, "retrying");
      recorder.write(raw, half, raw.length - half);
    }
    try (RunningService second = RunningService.start(home, port, List.of())) {
      assertTrue(process.waitFor(60, TimeUnit.SECONDS), () -> "does not end: " + second.address());
    }

    String said = Files.readString(err);
    assertEquals(0, process.exitValue(), said);
    assertTrue(said.contains("the service is back"), said);
    assertFalse(said.contains("never reached"), said);
    List<String> lines = Files.readAllLines(out);
    List<String> missing = lines.stream().filter(l -> l.startsWith("missing")).toList();
    assertEquals("missing\t1\t76 mf rr1", missing.get(missing.size() - 1), lines::toString);
    for (int tone = 0; tone < TestSounds.TONES.length; tone++) {
      String number = "note\t" + (tone + 1) + "\t";
      List<String> heard = lines.stream().filter(l -> l.startsWith(number)).toList();
      String[] last = heard.get(heard.size() - 1).split("\t", -1);
      assertEquals(TestSounds.TONES[tone][0], Double.parseDouble(last[2]), 0.02, lines::toString);
    }
  }

  /**
   * A build is started by one client, cut off by the end of its service, and resumed: what was
   * asked for is known after a restart, and the library is whole.
   */
  @ParameterizedTest
  @EnumSource
  void resumesABuildThatWasCutOff(Language client) throws Exception {
    Path home = Files.createTempDirectory(folder, "builds");
    Path takes = Files.createDirectory(home.resolve("takes"));
    double[] take = TestSounds.tones(TestSounds.TAKE_S, TestSounds.TONES);
    double[] many = new double[4 * take.length]; // long enough to be cut off
    for (int i = 0; i < many.length; i++) {
      many[i] = take[i % take.length];
    }
    TestSounds.write(takes.resolve("sustain.wav"), many);
    Path sheet =
        Files.writeString(
            takes.resolve("session.yaml"),
            "library: Example\ntakes:\n  - {file: sustain.wav, articulation: sustain,"
                + " notes: [A4, C5], round_robins: 4}\n");
    Path library = takes.resolve("library");
    int port;
    try (ServerSocket free = new ServerSocket(0)) {
      port = free.getLocalPort(); // a service on a port of its own keeps what it knows of builds
    }
    RunningService first = RunningService.start(home, port, List.of(), takes);
    Path out = folder.resolve("built " + client + ".txt");
    Process process =
        Language.builder(
                client.command(first, "build", sheet.toString(), library.toString()), home, folder)
            .redirectOutput(out.toFile())
            .redirectError(folder.resolve("built " + client + ".err").toFile())
            .start();
    awaitLine(out, "progress\t");
    first.kill();
    assertTrue(process.waitFor(60, TimeUnit.SECONDS), "does not end without its service");
    assertEquals(2, process.exitValue());
    String id = Files.readAllLines(out).get(0).split("\t")[1];
    assertTrue(id.matches("build-[0-9a-z]{4}-[0-9a-z]{4}-[0-9a-z]{4}"), id);
    try (RunningService second = RunningService.start(home, port, List.of(), takes)) {
      Language.Run resumed = Language.ran(client.command(second, "resume", id), home, folder);

      assertEquals(0, resumed.status(), resumed::toString);
      assertEquals(id, resumed.fields(0)[1]);
      String[] result = resumed.fields(resumed.out().size() - 1);
      assertEquals("result", result[0], resumed::toString);
      assertEquals(8, Integer.parseInt(result[1]) + Integer.parseInt(result[2]));
      assertEquals(library.resolve("index.csv").toString(), result[5]);
      assertTrue(Files.size(library.resolve("index.csv")) > 0);
      try (Stream<Path> drawn = Files.list(library.resolve("report/pictures"))) {
        long pictures = drawn.filter(file -> file.toString().endsWith(".js")).count();
        assertTrue(pictures >= Integer.parseInt(result[1]), "one of each sample: " + pictures);
      }
      Language.Run watched = Language.ran(client.command(second, "watch", id), home, folder);
      assertEquals(String.join("\t", result), watched.out().get(watched.out().size() - 1));
      Language.Run again = Language.ran(client.command(second, "resume", id), home, folder);
      assertEquals(2, again.status(), again::toString);
      assertTrue(again.err().startsWith("takewright: FAILED_PRECONDITION: "), again::toString);
    }
  }

  private static void awaitLine(Path file, String text) throws Exception {
    for (int i = 0; i < 600; i++) {
      if (Files.exists(file) && Files.readString(file).contains(text)) {
        return;
      }
      Thread.sleep(50);
    }
    throw new AssertionError("no \"" + text + "\" in " + Files.readString(file));
  }
}
