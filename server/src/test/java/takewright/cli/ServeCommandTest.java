package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The command that runs the service, in this process. */
class ServeCommandTest {
  @TempDir Path folder;
  private final ByteArrayOutputStream out = new ByteArrayOutputStream();
  private final ByteArrayOutputStream err = new ByteArrayOutputStream();

  private int serve(Object... words) {
    String[] args = new String[words.length + 1];
    args[0] = "serve";
    for (int i = 0; i < words.length; i++) {
      args[i + 1] = words[i].toString();
    }
    return Main.run(
        new PrintStream(out, true, StandardCharsets.UTF_8),
        new PrintStream(err, true, StandardCharsets.UTF_8),
        args);
  }

  private String line() {
    return err.toString(StandardCharsets.UTF_8).strip();
  }

  @Test
  void itSaysWhereItListensAndEndsWhenInterrupted() throws Exception {
    Path token = folder.resolve("token");
    Thread serving =
        new Thread(
            () ->
                serve(
                    "--port",
                    0,
                    "--allow",
                    folder,
                    "--token-file",
                    token,
                    "--state",
                    folder.resolve("state"),
                    "--metrics-port",
                    0));
    serving.start();
    try {
      for (int i = 0; i < 600 && out.size() == 0 && serving.isAlive(); i++) {
        Thread.sleep(50);
      }
      String told = out.toString(StandardCharsets.UTF_8);
      assertTrue(told.startsWith("listening on 127.0.0.1:"), told + line());
      assertTrue(told.contains("token in " + token), told);
      assertTrue(told.contains("granted: " + folder.toRealPath()), told);
      assertEquals(1, told.lines().count(), told);
      assertTrue(Files.exists(token));
      assertTrue(Files.isDirectory(folder.resolve("state")));

      Matcher address =
          Pattern.compile("metrics on (http://127\\.0\\.0\\.1:\\d+/metrics)").matcher(told);
      assertTrue(address.find(), told);
      HttpResponse<String> metrics =
          HttpClient.newHttpClient()
              .send(
                  HttpRequest.newBuilder(URI.create(address.group(1))).build(),
                  HttpResponse.BodyHandlers.ofString());
      assertEquals(200, metrics.statusCode());
    } finally {
      serving.interrupt();
      serving.join(TimeUnit.SECONDS.toMillis(30));
    }
    assertFalse(serving.isAlive());
    assertFalse(Files.exists(token), "the token of a service that has ended");
  }

  @ParameterizedTest
  @ValueSource(strings = {"--port", "--metrics-port", "--http-port"})
  void aTakenPortIsTold(String option) throws IOException {
    try (ServerSocket taken = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
      int port = taken.getLocalPort();
      List<Object> words = new ArrayList<>(List.of("--token-file", folder.resolve("token")));
      words.addAll(List.of("--state", folder.resolve("state")));
      words.addAll(option.equals("--port") ? List.of() : List.of("--port", 0));
      words.addAll(List.of(option, port));
      assertEquals(2, serve(words.toArray()));
      assertTrue(line().contains(option + " " + port + " is taken"), line());
      assertTrue(line().contains("choose another port"), line());
      assertEquals(1, line().lines().count(), line());
    }
  }

  @Test
  void halfOfTlsIsRefused() {
    assertEquals(2, serve("--port", 0, "--tls-key", folder.resolve("key.pem")));
    assertTrue(line().contains("both --tls-cert and --tls-key"), line());
    assertEquals(1, line().lines().count(), line());
  }
}
