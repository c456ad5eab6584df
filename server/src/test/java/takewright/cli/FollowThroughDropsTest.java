package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.InputStream;
import java.io.PipedInputStream;
import java.io.PipedOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.TreeMap;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import picocli.CommandLine;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.cli.connect.Backlog;
import takewright.cli.connect.Connection;
import takewright.cli.connect.SessionFollower;
import takewright.testing.HeldTone;
import takewright.testing.ServerProcess;
import takewright.testing.TakeBuilder;
import takewright.v1.FollowSessionConfig;
import takewright.v1.FollowSessionResponse;
import takewright.v1.NoteHeard;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;

/** The command that follows a session, whose service is killed and started again meanwhile. */
class FollowThroughDropsTest {
  private static final int RATE = 16_000;

  private static final String SHEET =
      """
      library: Invented
      takes:
        - {file: take.wav, articulation: sustain, notes: [A4, B4, C5, D5, E5]}
      """;

  @TempDir Path folder;
  private Path sheet;
  private Path take;
  private ServerProcess server;

  /** A4, B4 twice, no C5, D5, E5. */
  @BeforeEach
  void start() throws Exception {
    folder = folder.toRealPath();
    TakeBuilder builder = new TakeBuilder(RATE, 5).pause(2);
    for (int midi : new int[] {69, 71, 71, 74, 76}) {
      float[] note = HeldTone.crisp(RATE, HeldTone.hz(midi), 1.5).samples();
      builder.sound("note", midi, note, -12, -62).pause(1.7);
    }
    take = folder.resolve("take.wav");
    WavWriter.write(take, builder.build(-62), 16, WavChunks.NONE);
    sheet = Files.writeString(folder.resolve("session.yaml"), SHEET);
    server = start(0);
  }

  private ServerProcess start(int port) throws Exception {
    return ServerProcess.start(
        port,
        folder.resolve("token"),
        folder.resolve("log"),
        "--allow=" + folder,
        "--state=" + folder.resolve("state"));
  }

  @AfterEach
  void stop() throws Exception {
    server.kill();
  }

  private record Ran(int status, ByteArrayOutputStream out, ByteArrayOutputStream err) {
    String said() {
      return out.toString(StandardCharsets.UTF_8);
    }

    String complained() {
      return err.toString(StandardCharsets.UTF_8);
    }

    /** The last line about each note, and the last of what is missing: the table. */
    List<String> table() {
      TreeMap<String, String> table = new TreeMap<>();
      said()
          .lines()
          .forEach(line -> table.put(line.matches(" +\\d+ .*") ? line.substring(0, 3) : "", line));
      return List.copyOf(table.values());
    }
  }

  /** Follows the file. */
  private Ran follow(ByteArrayOutputStream out, ByteArrayOutputStream err, String... more) {
    List<String> words = new ArrayList<>(List.of(take.toString()));
    words.addAll(List.of(more));
    return run(out, err, words);
  }

  /** Follows what standard input brings. */
  private Ran recorded(ByteArrayOutputStream out, ByteArrayOutputStream err) {
    return run(out, err, List.of("--pcm", "int16," + RATE + ",1"));
  }

  private Ran run(ByteArrayOutputStream out, ByteArrayOutputStream err, List<String> more) {
    List<String> words = new ArrayList<>(List.of("follow", sheet.toString()));
    words.addAll(List.of("--server", "127.0.0.1:" + server.port()));
    words.addAll(List.of("--token-file", server.tokenFile().toString()));
    words.addAll(more);
    int status =
        Main.run(
            new PrintStream(out, true, StandardCharsets.UTF_8),
            new PrintStream(err, true, StandardCharsets.UTF_8),
            words.toArray(String[]::new));
    return new Ran(status, out, err);
  }

  private static void awaitIn(ByteArrayOutputStream where, String what, CompletableFuture<?> run)
      throws InterruptedException {
    while (!where.toString(StandardCharsets.UTF_8).contains(what)) {
      assertTrue(!run.isDone(), () -> "over before it said " + what + ": " + where);
      Thread.sleep(5);
    }
  }

  /** What is played so far goes in, more follows when the test says so: no clock is in it. */
  @Test
  void theTableIsThatOfAnUndisturbedSessionWhateverBecomesOfTheService() throws Exception {
    byte[] audio = pcm(AudioFile.open(take));
    InputStream usual = System.in;
    try {
      System.setIn(new ByteArrayInputStream(audio));
      Ran undisturbed = recorded(new ByteArrayOutputStream(), new ByteArrayOutputStream());
      assertEquals(0, undisturbed.status, undisturbed::complained);
      assertEquals("", undisturbed.complained());
      assertEquals(6, undisturbed.table().size(), undisturbed::said);
      assertTrue(undisturbed.said().contains("missing 1, next C5"), undisturbed::said);

      ByteArrayOutputStream out = new ByteArrayOutputStream();
      ByteArrayOutputStream err = new ByteArrayOutputStream();
      PipedOutputStream recorder = new PipedOutputStream();
      System.setIn(new PipedInputStream(recorder, audio.length));
      CompletableFuture<Ran> running = CompletableFuture.supplyAsync(() -> recorded(out, err));
      // A4 and its pause, then into the first B4.
      recorder.write(audio, 0, 2 * 5 * RATE);
      recorder.flush();
      awaitIn(out, "A4", running);
      int port = server.port();
      server.kill();
      awaitIn(err, "the service is gone", running);
      recorder.write(audio, 2 * 5 * RATE, 2 * 4 * RATE);
      recorder.flush();
      server = start(port);
      awaitIn(err, "the service is back", running);
      awaitIn(out, "B4", running);
      // It gives calls five seconds to end by themselves, which this one does not.
      assertEquals(143, server.stop(), "ended by SIGTERM");
      recorder.write(audio, 2 * 9 * RATE, audio.length - 2 * 9 * RATE);
      recorder.close();
      server = start(port);
      Ran disturbed = running.get(120, TimeUnit.SECONDS);
      assertEquals(0, disturbed.status, disturbed::complained);
      assertEquals(undisturbed.table(), disturbed.table());
      assertEquals(
          List.of("gone", "back", "gone", "back"),
          disturbed
              .complained()
              .lines()
              .map(line -> line.replaceFirst(".*the service is (\\w+).*", "$1"))
              .toList());
    } finally {
      System.setIn(usual);
    }
  }

  @Test
  void aServiceThatWasNeverThereOrRefusesIsNotCalledAgain() throws Exception {
    Ran refused =
        follow(new ByteArrayOutputStream(), new ByteArrayOutputStream(), "--take", "other.wav");
    assertEquals(2, refused.status);
    assertEquals(1, refused.complained().lines().count(), refused::complained);
    server.kill();
    Ran gone = follow(new ByteArrayOutputStream(), new ByteArrayOutputStream());
    assertEquals(2, gone.status);
    assertTrue(gone.complained().contains("no service answers"), gone::complained);
    assertEquals(1, gone.complained().lines().count(), gone::complained);
  }

  @Test
  void whatIsGivenUpIsSaidAndTakenForSilence() throws Exception {
    Connection connection = new Connection();
    new CommandLine(new Holder(connection))
        .parseArgs(
            "--server=127.0.0.1:" + server.port(), "--token-file=" + folder.resolve("token"));
    byte[] audio = pcm(AudioFile.open(take));
    // Room for four seconds, and a service that is away for longer.
    Backlog backlog = new Backlog(1e12, 4 * 2 * RATE);
    TreeMap<Integer, NoteHeard> notes = new TreeMap<>();
    List<String> said = new ArrayList<>();
    int half = 6 * 2 * RATE;
    try (Connection.OpenConnection session = connection.open()) {
      SessionFollower follower =
          new SessionFollower(
              session,
              FollowSessionConfig.newBuilder()
                  .setSheetText(SHEET)
                  .setFormat(
                      PcmFormat.newBuilder()
                          .setEncoding(PcmEncoding.PCM_ENCODING_INT16)
                          .setSampleRateHz(RATE)
                          .setChannels(1))
                  .build(),
              2,
              backlog,
              answer -> hear(answer, notes),
              line -> {
                synchronized (said) {
                  said.add(line);
                }
              });
      CompletableFuture<Void> running =
          CompletableFuture.runAsync(
              () -> {
                try {
                  follower.run();
                } catch (java.io.IOException e) {
                  throw new AssertionError(e);
                }
              });
      for (int at = 0; at < half; at += RATE) {
        backlog.add(Arrays.copyOfRange(audio, at, at + RATE));
        Thread.sleep(20);
      }
      while (notes.isEmpty()) {
        assertTrue(!running.isDone());
        Thread.sleep(5);
      }
      int port = server.port();
      server.kill();
      for (int at = half; at < audio.length; at += RATE) {
        backlog.add(Arrays.copyOfRange(audio, at, Math.min(audio.length, at + RATE)));
      }
      backlog.end(null);
      server = start(port);
      running.get(120, TimeUnit.SECONDS);
      assertTrue(follower.lostFrames() > 5 * RATE, follower.lostFrames() + " " + said);
    }
    assertTrue(said.stream().anyMatch(l -> l.contains("never reached the service")), "" + said);
    // What was heard before is kept, what was given up is silence, and what came last is heard
    // where it was played.
    assertEquals("A4", notes.get(1).getPitch().getNote());
    NoteHeard last = notes.lastEntry().getValue();
    assertEquals("E5", last.getPitch().getNote());
    assertEquals(onsetOfE5(), last.getOnsetFrame(), 0.02 * RATE);
    assertTrue(notes.values().stream().noneMatch(n -> n.getPitch().getNote().equals("D5")));
  }

  /** As the undisturbed service hears it. */
  private long onsetOfE5() {
    Ran undisturbed = follow(new ByteArrayOutputStream(), new ByteArrayOutputStream());
    String line =
        undisturbed.table().stream().filter(l -> l.contains("E5")).findFirst().orElseThrow();
    return Math.round(RATE * Double.parseDouble(line.strip().split(" +")[1]));
  }

  private static void hear(FollowSessionResponse answer, TreeMap<Integer, NoteHeard> notes) {
    if (answer.hasNote()) {
      synchronized (notes) {
        notes.put(answer.getNote().getNumber(), answer.getNote());
      }
    }
  }

  private static byte[] pcm(AudioFile file) throws Exception {
    try (file) {
      float[] samples = Clip.read(file, (int) file.frames()).channel(0);
      byte[] bytes = new byte[2 * samples.length];
      for (int i = 0; i < samples.length; i++) {
        int sample = Math.round(samples[i] * 32767);
        bytes[2 * i] = (byte) sample;
        bytes[2 * i + 1] = (byte) (sample >> 8);
      }
      return bytes;
    }
  }

  @CommandLine.Command
  private static final class Holder {
    @CommandLine.Mixin private final Connection connection;

    Holder(Connection connection) {
      this.connection = connection;
    }
  }
}
