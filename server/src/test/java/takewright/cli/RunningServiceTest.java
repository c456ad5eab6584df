package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.demo.Demo;
import takewright.service.Calls;
import takewright.testing.ServerProcess;

/**
 * Commands in processes of their own, in the home folder of an invented user whose service runs.
 */
class RunningServiceTest {
  @TempDir Path home;
  private Path granted;
  private ServerProcess server;

  @BeforeEach
  void start() throws IOException {
    home = home.toRealPath();
    granted = Files.createDirectory(home.resolve("granted"));
    int port;
    try (ServerSocket socket = new ServerSocket(0)) {
      port = socket.getLocalPort();
    }
    server =
        ServerProcess.start(
            port,
            home.resolve(".takewright").resolve("token-" + port),
            home.resolve("log"),
            "--allow=" + granted,
            "--state=" + home.resolve("state"));
  }

  @AfterEach
  void stop() throws IOException, InterruptedException {
    server.kill();
  }

  private record Ran(int status, String out, String err) {}

  private Ran run(Object... words) throws IOException, InterruptedException {
    Path err = Files.createTempFile(home, "err", "");
    Process process = start(err, words);
    String out = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertTrue(process.waitFor(60, TimeUnit.SECONDS));
    return new Ran(process.exitValue(), out, Files.readString(err));
  }

  private Process start(Path err, Object... words) throws IOException {
    List<String> command =
        new ArrayList<>(
            List.of(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-XX:TieredStopAtLevel=1",
                "-cp",
                System.getProperty("java.class.path"),
                "takewright.cli.Main"));
    for (Object word : words) {
      command.add(word.toString());
    }
    ProcessBuilder builder = new ProcessBuilder(command).redirectError(err.toFile());
    builder.environment().put("HOME", home.toString());
    builder.environment().remove("TAKEWRIGHT_LOCAL");
    return builder.start();
  }

  /** Until a build has told how far it is, half a minute at most. */
  private static void waitForProgress(Path err) throws IOException, InterruptedException {
    for (int i = 0; i < 600 && !(Files.exists(err) && Files.readString(err).contains("%")); i++) {
      Thread.sleep(50);
    }
  }

  private Path note(Path folder) throws IOException {
    Path file = folder.resolve("note.wav");
    WavWriter.write(file, Calls.note(48_000, 220), 24, WavChunks.NONE);
    return file;
  }

  /** Java ends in the same way on SIGINT, from Ctrl-C, and on SIGTERM. */
  @Test
  void anInterruptedBuildSaysHowItGoesOn() throws Exception {
    Path sheet = Demo.write(granted.resolve("session"));
    Path err = home.resolve("err");
    Process building = start(err, "build", sheet, "--out", granted.resolve("library"), "--local");
    for (int i = 0; i < 600 && !(Files.exists(err) && Files.size(err) > 0); i++) {
      Thread.sleep(50);
    }
    building.destroy();
    assertTrue(building.waitFor(60, TimeUnit.SECONDS));
    List<String> lines = Files.readAllLines(err);
    assertTrue(
        lines.contains("takewright: interrupted; the same command continues the build"),
        lines.toString());
    assertFalse(Files.exists(granted.resolve("library").resolve("index.csv")));
  }

  @Test
  void anInterruptedBuildThatServicesShareSaysSoOnce() throws Exception {
    ServerProcess other =
        ServerProcess.start(home.resolve("token"), home.resolve("other-log"), "--allow=" + granted);
    try {
      Path sheet = Demo.write(granted.resolve("session"));
      Path err = home.resolve("err");
      Path library = granted.resolve("library");
      Process building =
          start(
              err,
              "build",
              sheet,
              "--out",
              library,
              "--server",
              "127.0.0.1:" + server.port() + ",127.0.0.1:" + other.port(),
              "--token-file",
              server.tokenFile() + "," + other.tokenFile());
      waitForProgress(err);
      building.destroy();
      assertTrue(building.waitFor(60, TimeUnit.SECONDS));
      List<String> lines = Files.readAllLines(err);
      assertEquals(
          List.of("takewright: interrupted; the same command continues the build"),
          lines.stream().filter(line -> line.startsWith("takewright: ")).toList());
      assertFalse(lines.toString().contains("has not finished its part"), lines.toString());
    } finally {
      other.kill();
    }
  }

  @Test
  void aBuildWhoseServiceDiesSaysHowItGoesOn() throws Exception {
    Path sheet = Demo.write(granted.resolve("session"));
    Path err = home.resolve("err");
    Path library = granted.resolve("library");
    Process building = start(err, "build", sheet, "--out", library);
    waitForProgress(err);
    server.kill();
    assertTrue(building.waitFor(60, TimeUnit.SECONDS));
    assertEquals(2, building.exitValue());
    List<String> lines = Files.readAllLines(err);
    assertEquals(
        "takewright: the service that ran the build is gone; start it again and repeat the command,"
            + " which continues the build",
        lines.get(lines.size() - 1));
  }

  @Test
  void commandsUseTheServiceThatRunsAndSayIt() throws Exception {
    String using = "using the service on port " + server.port();
    Path inside = note(granted);
    Ran there = run("analyse", inside);
    assertEquals(0, there.status, there.err);
    assertTrue(there.err.contains(using) && there.err.contains("--local"), there.err);
    Ran alone = run("analyse", inside, "--local");
    assertFalse(alone.err.contains(using), alone.err);
    assertEquals(there.out, alone.out);

    // What the service may not reach, the command does by itself.
    Path outside = note(Files.createDirectory(home.resolve("outside")));
    Ran own = run("analyse", outside);
    assertEquals(0, own.status, own.err);
    assertFalse(own.err.contains(using), own.err);
    Path sheet =
        Files.writeString(
            granted.resolve("sheet.yaml"),
            "library: X\ntakes:\n  - {file: ../outside/note.wav, articulation: a, notes: [A3]}\n");
    Ran built = run("build", sheet, "--out", granted.resolve("library"));
    assertEquals(0, built.status, built.err);
    assertTrue(built.err.contains("going on without it"), built.err);
    assertTrue(Files.exists(granted.resolve("library").resolve("index.csv")));

    // A service that was killed leaves its token.
    server.kill();
    Ran gone = run("analyse", inside);
    assertEquals(0, gone.status, gone.err);
    assertFalse(gone.err.contains(using), gone.err);
  }
}
