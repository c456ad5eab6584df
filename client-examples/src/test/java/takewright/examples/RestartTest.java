package takewright.examples;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.OutputStream;
import java.net.ServerSocket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/** What each client makes of a service that is killed, and started again on its port. */
@Order(2)
class RestartTest {
  @TempDir static Path folder;

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
