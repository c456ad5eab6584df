package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import takewright.testing.Outside;

/** How each client calls: certificates, deadlines, proxies and closed pipes. */
@Order(3)
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
}
