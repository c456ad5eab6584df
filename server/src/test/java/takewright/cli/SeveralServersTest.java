package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.name.NoteNames;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.ServerProcess;
import takewright.testing.TakeBuilder;
import takewright.v1.BuildState;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.ListBuildsRequest;

/** Two services on one disk, each a process of its own that the test kills. */
class SeveralServersTest {
  private static final int RATE = 16_000;
  private static final int LOWEST = 41;

  @TempDir Path folder;
  private final List<ServerProcess> servers = new ArrayList<>();
  private Path sheet;

  private static boolean builds(ManagedChannel channel) {
    return LibraryServiceGrpc.newBlockingStub(channel)
        .withDeadlineAfter(30, TimeUnit.SECONDS)
        .listBuilds(ListBuildsRequest.getDefaultInstance())
        .getBuildsList()
        .stream()
        .anyMatch(build -> build.getState() == BuildState.BUILD_STATE_RUNNING);
  }

  private record Ran(int status, String out, String err) {}

  private Ran build(Path out, String... more) {
    ByteArrayOutputStream said = new ByteArrayOutputStream();
    ByteArrayOutputStream complained = new ByteArrayOutputStream();
    List<String> words = new ArrayList<>(List.of("build", sheet.toString(), "--out"));
    words.add(out.toString());
    words.add("--server");
    words.add(String.join(",", servers.stream().map(s -> "127.0.0.1:" + s.port()).toList()));
    words.add("--token-file");
    words.add(String.join(",", servers.stream().map(s -> s.tokenFile().toString()).toList()));
    words.addAll(List.of(more));
    int status =
        Main.run(
            new PrintStream(said, true, StandardCharsets.UTF_8),
            new PrintStream(complained, true, StandardCharsets.UTF_8),
            words.toArray(String[]::new));
    return new Ran(
        status, said.toString(StandardCharsets.UTF_8), complained.toString(StandardCharsets.UTF_8));
  }

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    for (String name : List.of("a", "b")) {
      servers.add(
          ServerProcess.start(
              folder.resolve("token-" + name),
              folder.resolve("log-" + name),
              "--allow=" + folder,
              "--state=" + folder));
    }
  }

  /** Writes a take that goes up from F2 by semitones, and its sheet. */
  private void session(int notes) throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(1.5);
    for (int midi = LOWEST; midi < LOWEST + notes; midi++) {
      float[] note = HeldTone.crisp(RATE, HeldTone.hz(midi), 0.5).samples();
      take.sound("note", midi, note, -12, -62).pause(0.7);
    }
    WavWriter.write(folder.resolve("take.wav"), take.build(-62), 24, WavChunks.NONE);
    String last = NoteNames.DEFAULTS.spell(LOWEST + notes - 1);
    sheet =
        Files.writeString(
            folder.resolve("session.yaml"),
            """
            library: Invented
            takes:
              - {file: take.wav, articulation: staccato, notes: F2..%s, dynamics: [f]}
            """
                .formatted(last));
  }

  @AfterEach
  void stop() throws IOException, InterruptedException {
    for (ServerProcess server : servers) {
      server.kill();
    }
  }

  private static long samplesIn(Path library) throws IOException {
    if (!Files.isDirectory(library)) {
      return 0;
    }
    try (Stream<Path> files = Files.list(library)) {
      return files.filter(file -> file.toString().endsWith(".wav")).count();
    }
  }

  @Test
  void ofSeveralServersTheOneThatBuildsShowsThePage() throws Exception {
    session(3);
    HttpClient browser = HttpClient.newHttpClient();
    // Each server has builds by the time that the last are shown.
    for (int i = 0; i < 4; i++) {
      Path out = folder.resolve("watched" + i);
      Ran ran = build(out, "--watch");
      assertEquals(0, ran.status, ran.err);
      String address =
          ran.err.lines().filter(l -> l.startsWith("watch: ")).findFirst().orElseThrow();
      URI page = URI.create(address.substring("watch: ".length()));
      assertEquals("http", page.getScheme(), address);
      HttpResponse<byte[]> index =
          browser.send(
              HttpRequest.newBuilder(page.resolve("../index.csv")).build(),
              HttpResponse.BodyHandlers.ofByteArray());
      assertEquals(200, index.statusCode());
      Path shown = out.resolve("index.csv");
      assertArrayEquals(Files.readAllBytes(shown), index.body());
      // All builds are alike; only this one's folder has what is written there now.
      Files.writeString(shown, "this one");
      index =
          browser.send(
              HttpRequest.newBuilder(page.resolve("../index.csv")).build(),
              HttpResponse.BodyHandlers.ofByteArray());
      assertEquals("this one", new String(index.body(), StandardCharsets.UTF_8));
    }
  }

  @Test
  void aBuildGoesOnAtTheOtherServerWhereOneIsKilled() throws Exception {
    int notes = 49; // so that the build lasts long enough to be disturbed
    session(notes);
    Path undisturbed = folder.resolve("undisturbed");
    assertEquals(0, build(undisturbed).status);
    assertEquals(notes, samplesIn(undisturbed));

    // Asked once before, so that the answer comes at once while the build runs.
    ManagedChannel first = servers.get(0).channel();
    assertFalse(builds(first));
    Path out = folder.resolve("out");
    CompletableFuture<Ran> running =
        CompletableFuture.supplyAsync(() -> build(out, "--part", "1/1"));
    while (samplesIn(out) < 3) {
      Thread.sleep(1);
      assertTrue(!running.isDone(), "the build was over before it could be disturbed");
    }
    ServerProcess builder = builds(first) ? servers.get(0) : servers.get(1);
    builder.kill();
    first.shutdownNow();
    Ran ran = running.get(60, TimeUnit.SECONDS);
    assertEquals(0, ran.status, ran.err);
    assertTrue(ran.err.contains("another continues it"), ran.err);
    assertTrue(ran.out.contains("of an earlier run"), ran.out);
    Ran last = build(out);
    assertEquals(0, last.status, last.err);
    assertTrue(last.out.contains("(" + notes + " of an earlier run)"), last.out);
    Map<String, byte[]> expected = Job.contents(undisturbed);
    Map<String, byte[]> actual = Job.contents(out);
    assertEquals(expected.keySet(), actual.keySet());
    expected.forEach((name, bytes) -> assertArrayEquals(bytes, actual.get(name), name));

    // With one server gone from the start, and with both.
    session(3);
    assertEquals(0, build(folder.resolve("again")).status);
    for (ServerProcess server : servers) {
      server.kill();
    }
    Ran none = build(folder.resolve("none"));
    assertEquals(2, none.status);
    assertEquals("", none.out);
    assertEquals(1, none.err.lines().count(), none.err);
    assertTrue(none.err.contains("no service answers"), none.err);
  }
}
