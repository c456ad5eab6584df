package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;
import takewright.testing.SelfSigned;

/** A command that TLS keeps from its service says why, and never that no service is there. */
class TlsProblemsTest {
  @TempDir static Path folder;

  private static SelfSigned server;
  private static SelfSigned stranger;

  @BeforeAll
  static void certificates() throws Exception {
    server = SelfSigned.make(folder, "server");
    stranger = SelfSigned.make(folder, "stranger");
  }

  private static TakewrightServer start(ServerSettings.Tls tls) throws Exception {
    return TakewrightServer.start(
        new ServerSettings(
            "127.0.0.1", 0, List.of(), folder.resolve("token"), tls, -1, -1, 0, null));
  }

  private static String complaint(TakewrightServer to, Object... options) {
    return complaintOfPort(to, to.port(), options);
  }

  private static String complaintOfPort(TakewrightServer to, int port, Object... options) {
    List<String> words = new ArrayList<>(List.of("name", "--midi", "60", "--pattern", "{note}"));
    words.addAll(List.of("--server", "localhost:" + port));
    words.addAll(List.of("--token-file", to.tokenFile().toString()));
    for (Object option : options) {
      words.add(option.toString());
    }
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    int status =
        Main.run(
            new PrintStream(new ByteArrayOutputStream(), true, StandardCharsets.UTF_8),
            new PrintStream(err, true, StandardCharsets.UTF_8),
            words.toArray(String[]::new));
    String said = err.toString(StandardCharsets.UTF_8);
    assertEquals(2, status, said);
    assertEquals(1, said.lines().count(), said);
    assertFalse(said.contains("no service answers"), said);
    return said;
  }

  @Test
  void faultsOfTlsAreNamedWithTheirRemedy() throws Exception {
    try (TakewrightServer open =
        start(new ServerSettings.Tls(server.certificate(), server.key(), null))) {
      String wrong = complaint(open, "--tls-ca", stranger.certificate());
      assertTrue(wrong.contains("not signed by a CA") && wrong.contains("--tls-ca"), wrong);
      String none = complaint(open);
      assertTrue(none.contains("--tls-ca"), none);
    }
    try (TakewrightServer strict =
        start(new ServerSettings.Tls(server.certificate(), server.key(), server.certificate()))) {
      String bare = complaint(strict, "--tls-ca", server.certificate());
      assertTrue(bare.contains("--tls-cert and --tls-key"), bare);
    }
    try (TakewrightServer plain = start(null)) {
      String tls = complaint(plain, "--tls-ca", server.certificate());
      assertTrue(tls.contains("does not use TLS"), tls);
    }
  }

  @Test
  void thePortOfPlainHttpIsTakenForWhatItIs() throws Exception {
    try (TakewrightServer http =
        TakewrightServer.start(
            new ServerSettings(
                "127.0.0.1", 0, List.of(), folder.resolve("token"), null, -1, 0, 0, null))) {
      String line = complaintOfPort(http, http.httpPort());
      assertTrue(line.contains("does not speak plain gRPC; "), line);
      assertTrue(line.contains("correct --server"), line);
    }
  }
}
