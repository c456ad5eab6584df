package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.Channel;
import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.inprocess.InProcessServerBuilder;
import io.grpc.stub.StreamObserver;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;
import takewright.v1.Build;
import takewright.v1.BuildPart;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.CancelBuildRequest;
import takewright.v1.CancelBuildResponse;
import takewright.v1.GetServerInfoRequest;
import takewright.v1.GetServerInfoResponse;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.ServerServiceGrpc;
import takewright.v1.StartBuildRequest;
import takewright.v1.StartBuildResponse;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** One build that several services share: two real ones, and played ones that fail. */
@Timeout(120)
class SharedBuildTest {
  private static final int RATE = 44_100;
  private static final double ROOM_DBFS = -66;

  private final List<Server> played = new ArrayList<>();
  private final Map<String, Channel> channels = new LinkedHashMap<>();
  private final ByteArrayOutputStream err = new ByteArrayOutputStream();

  @AfterEach
  void stop() {
    channels.values().forEach(channel -> ((ManagedChannel) channel).shutdownNow());
    played.forEach(Server::shutdownNow);
  }

  @Test
  void servicesMakeAPartEachAndTheLibraryIsThatOfOne(@TempDir Path temporary) throws Exception {
    Path folder = temporary.toRealPath();
    Path sheet = record(folder);
    Path token = folder.resolve("token");
    ServerSettings settings =
        new ServerSettings(ServerSettings.DEFAULT_HOST, 0, List.of(folder), token);
    Path tokenOfB = folder.resolve("token-b");
    try (TakewrightServer a = TakewrightServer.start(settings)) {
      String tokens = token + "," + tokenOfB;
      String both;
      String ofB;
      try (TakewrightServer b =
          TakewrightServer.start(
              new ServerSettings(ServerSettings.DEFAULT_HOST, 0, List.of(folder), tokenOfB))) {
        Path alone = folder.resolve("alone");
        assertEquals(
            0, build(sheet, alone, "--server", a.address(), "--token-file", token.toString()));
        assertFalse(said().contains("part"), said());

        ofB = b.address();
        both = a.address() + "," + ofB;
        Path shared = folder.resolve("shared");
        err.reset();
        int status = build(sheet, shared, "--server", both, "--token-file", tokens);
        assertEquals(0, status, said());
        assertTrue(said().contains(a.address() + " has made part 1 of 2: 4 samples"), said());
        assertTrue(said().contains(ofB + " has made part 2 of 2: 4 samples"), said());
        Map<String, byte[]> expected = Job.contents(alone);
        Map<String, byte[]> actual = Job.contents(shared);
        assertEquals(expected.keySet(), actual.keySet());
        expected.forEach((name, bytes) -> assertArrayEquals(bytes, actual.get(name), name));
      }
      // A service that does not answer takes no part, and no library is the worse for it.
      err.reset();
      int status = build(sheet, folder.resolve("one"), "--server", both, "--token-file", tokens);
      assertEquals(0, status, said());
      assertTrue(said().contains(ofB + " does not answer"), said());
      assertFalse(said().contains("has made part"), said());
    }
  }

  @Test
  void servicesThatDoNotShareTheFolderAreFoundOut() throws Exception {
    Played a = new Played("one folder");
    Played b = new Played("another");
    try (SharedBuild shared = shared(a, b)) {
      IllegalArgumentException refused =
          assertThrows(
              IllegalArgumentException.class,
              () -> shared.makeParts(StartBuildRequest.getDefaultInstance()));
      assertTrue(refused.getMessage().contains("do not see the same folder"), refused.getMessage());
      assertTrue(refused.getMessage().startsWith("--server: "), refused.getMessage());
    }
    assertTrue(a.isCancelled.await(10, TimeUnit.SECONDS));
    assertTrue(b.isCancelled.await(10, TimeUnit.SECONDS));
  }

  @Test
  void thePartOfAServiceThatDiesIsLeftToTheEnd() throws Exception {
    Played lives = new Played("folder");
    lives.result = BuildResult.newBuilder().setSamples(3).build();
    Played dies = new Played("folder");
    dies.end = Status.UNAVAILABLE;
    try (SharedBuild shared = shared(lives, dies)) {
      shared.makeParts(
          StartBuildRequest.newBuilder().setSheetFile("s").setMarkersFolder("m").build());
    }
    assertTrue(said().contains("a:1 has made part 1 of 2: 3 samples"), said());
    assertTrue(said().contains("warning: b:2 has not finished its part"), said());
    assertEquals(BuildPart.newBuilder().setNumber(2).setCount(2).build(), dies.asked.getPart());
    assertEquals("s", dies.asked.getSheetFile());
    assertEquals("", dies.asked.getMarkersFolder(), "only the build that ends it writes markers");
  }

  @Test
  void whatIsWrongWithATakeIsLeftForTheWholeBuildToSay() throws Exception {
    Played fails = new Played("folder");
    fails.end = Status.INVALID_ARGUMENT;
    Played works = new Played("folder");
    try (SharedBuild shared = shared(fails, works)) {
      shared.makeParts(StartBuildRequest.getDefaultInstance());
    }
    assertTrue(works.isCancelled.await(10, TimeUnit.SECONDS), "nobody waits for the other part");
  }

  @Test
  void aPartThatBeginsAfterAnotherFailedIsStoppedToo() throws Exception {
    Played fails = new Played("folder");
    fails.end = Status.INVALID_ARGUMENT;
    Played late = new Played("folder");
    late.startsAfter = fails.hasEnded;
    try (SharedBuild shared = shared(fails, late)) {
      shared.makeParts(StartBuildRequest.getDefaultInstance());
    }
    assertTrue(late.isCancelled.await(10, TimeUnit.SECONDS), "nobody waits for the late part");
  }

  @Test
  void aServiceThatRefusesItsPartEndsTheBuild() throws Exception {
    Played refuses = new Played("folder");
    refuses.refusal = Status.PERMISSION_DENIED;
    Played works = new Played("folder");
    try (SharedBuild shared = shared(works, refuses)) {
      StatusRuntimeException refused =
          assertThrows(
              StatusRuntimeException.class,
              () -> shared.makeParts(StartBuildRequest.getDefaultInstance()));
      assertEquals(Status.Code.PERMISSION_DENIED, refused.getStatus().getCode());
    }
    assertTrue(works.isCancelled.await(10, TimeUnit.SECONDS));
  }

  private SharedBuild shared(Played a, Played b) throws IOException {
    channels.put("a:1", channel(a));
    channels.put("b:2", channel(b));
    PrintStream said = new PrintStream(err, true, StandardCharsets.UTF_8);
    return new SharedBuild(new Main(said, said), channels);
  }

  private ManagedChannel channel(Played service) throws IOException {
    String name = InProcessServerBuilder.generateName();
    played.add(
        InProcessServerBuilder.forName(name)
            .addService(service)
            .addService(
                new ServerServiceGrpc.ServerServiceImplBase() {
                  @Override
                  public void getServerInfo(
                      GetServerInfoRequest request, StreamObserver<GetServerInfoResponse> answer) {
                    answer.onNext(GetServerInfoResponse.getDefaultInstance());
                    answer.onCompleted();
                  }
                })
            .build()
            .start());
    return InProcessChannelBuilder.forName(name).build();
  }

  private String said() {
    return err.toString(StandardCharsets.UTF_8);
  }

  private int build(Path sheet, Path out, String... more) {
    List<String> words = new ArrayList<>(List.of("build", sheet.toString()));
    words.addAll(List.of("--out", out.toString()));
    words.addAll(List.of(more));
    PrintStream said = new PrintStream(err, true, StandardCharsets.UTF_8);
    return Main.run(said, said, words.toArray(String[]::new));
  }

  /** Two articulations of four notes each. */
  private static Path record(Path folder) throws IOException {
    for (String name : List.of("a", "b")) {
      TakeBuilder take = new TakeBuilder(RATE, name.charAt(0)).pause(2);
      for (int midi : new int[] {57, 60, 64, 69}) {
        take.sound("note", midi, tone(440 * Math.pow(2, (midi - 69) / 12.0)), -14, ROOM_DBFS)
            .pause(1.2);
      }
      WavWriter.write(folder.resolve(name + ".wav"), take.build(ROOM_DBFS), 24, WavChunks.NONE);
    }
    return Files.writeString(
        folder.resolve("session.yaml"),
        """
        library: Invented
        takes:
          - {file: a.wav, articulation: plain, notes: [A3, C4, E4, A4]}
          - {file: b.wav, articulation: soft, notes: [A3, C4, E4, A4]}
        """);
  }

  private static float[] tone(double hz) {
    return HeldTone.of(RATE, hz, 1).withPartials(6).samples();
  }

  /** A service that only plays one: it reports some progress and ends as it is told. */
  private static final class Played extends LibraryServiceGrpc.LibraryServiceImplBase {
    private final String folderId;
    private final CountDownLatch isCancelled = new CountDownLatch(1);
    private final CountDownLatch hasEnded = new CountDownLatch(1);
    private volatile StartBuildRequest asked;

    /** What has to be over before it starts; null for nothing. */
    private CountDownLatch startsAfter;

    /** How it ends; runs until it is cancelled where all are null. */
    private Status refusal;

    private Status end;
    private BuildResult result;

    Played(String folderId) {
      this.folderId = folderId;
    }

    @Override
    public void startBuild(StartBuildRequest request, StreamObserver<StartBuildResponse> answer) {
      asked = request;
      if (refusal != null) {
        answer.onError(refusal.asRuntimeException());
        return;
      }
      waitToStart();
      Build build = Build.newBuilder().setBuildId("build-" + folderId).build();
      answer.onNext(StartBuildResponse.newBuilder().setBuild(build).build());
      answer.onCompleted();
    }

    /** Until the other's end has reached the caller as well, which nothing tells. */
    private void waitToStart() {
      try {
        if (startsAfter != null) {
          startsAfter.await();
          Thread.sleep(200);
        }
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
      }
    }

    @Override
    public void watchBuild(WatchBuildRequest request, StreamObserver<WatchBuildResponse> answer) {
      BuildProgress progress =
          BuildProgress.newBuilder().setDone(0.5).setFolderId(folderId).build();
      answer.onNext(WatchBuildResponse.newBuilder().setProgress(progress).build());
      if (result != null) {
        answer.onNext(WatchBuildResponse.newBuilder().setResult(result).build());
        answer.onCompleted();
        return;
      }
      if (end != null) {
        answer.onError(end.asRuntimeException());
        hasEnded.countDown();
        return;
      }
      try {
        isCancelled.await();
        answer.onError(Status.CANCELLED.asRuntimeException());
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
      }
    }

    @Override
    public void cancelBuild(
        CancelBuildRequest request, StreamObserver<CancelBuildResponse> answer) {
      isCancelled.countDown();
      answer.onNext(CancelBuildResponse.getDefaultInstance());
      answer.onCompleted();
    }
  }
}
