package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.inprocess.InProcessServerBuilder;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashSet;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.IntStream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.Problem;
import takewright.library.BuildResult;
import takewright.library.folder.Changes;
import takewright.service.access.GrantedFolders;
import takewright.service.build.BuildCalls;
import takewright.service.build.BuildPages;
import takewright.service.build.Builds;
import takewright.service.call.Site;
import takewright.service.work.Workers;
import takewright.v1.Build;
import takewright.v1.CheckSheetRequest;
import takewright.v1.CheckSheetResponse;
import takewright.v1.GetBuildRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.ListBuildsRequest;
import takewright.v1.ListBuildsResponse;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** Answers fit into a message, however large a library is. */
class LargeAnswersTest {
  /** What gRPC's clients receive unless they are told otherwise: 4 MiB, as its guides have it. */
  private static final int RECEIVED_BYTES = 4 << 20;

  @TempDir Path folder;

  private Workers workers;
  private Server server;
  private ManagedChannel channel;
  private LibraryServiceGrpc.LibraryServiceBlockingStub stub;
  private BuildResult result;

  @BeforeEach
  void serve() throws IOException {
    folder = folder.toRealPath();
    Files.writeString(
        folder.resolve("session.yaml"),
        "library: Larkfell\ntakes:\n  - {file: tap.wav, articulation: tap, kind: unpitched}\n");
    WavWriter.write(folder.resolve("tap.wav"), Calls.note(48_000, 220), 24, WavChunks.NONE);
    workers = new Workers(2);
    Site site = new Site(GrantedFolders.of(List.of(folder)), workers);
    String name = "large-" + System.nanoTime();
    BuildCalls builds =
        new BuildCalls(site, new BuildPages(), new Builds(null), (b, p, c, a, s) -> result);
    server =
        InProcessServerBuilder.forName(name)
            .directExecutor()
            .addService(new LibraryService(site, builds))
            .build()
            .start();
    channel = InProcessChannelBuilder.forName(name).build();
    stub = LibraryServiceGrpc.newBlockingStub(channel).withDeadlineAfter(60, TimeUnit.SECONDS);
  }

  @AfterEach
  void stop() {
    channel.shutdownNow();
    server.shutdownNow();
    workers.close();
  }

  private static List<String> names(int count) {
    // Longer names do not fit on most file systems.
    return IntStream.range(0, count).mapToObj(i -> "x".repeat(240) + i + ".wav").toList();
  }

  /** Builds once; the last answer that a watching client gets. */
  private WatchBuildResponse build(StartBuildRequest request) {
    Build build = stub.startBuild(request).getBuild();
    List<WatchBuildResponse> answers = new ArrayList<>();
    stub.watchBuild(WatchBuildRequest.newBuilder().setBuildId(build.getBuildId()).build())
        .forEachRemaining(answers::add);
    return answers.get(answers.size() - 1);
  }

  private StartBuildRequest.Builder request() {
    return StartBuildRequest.newBuilder()
        .setSheetFile(folder.resolve("session.yaml").toString())
        .setOutputFolder(folder.resolve("out").toString());
  }

  @Test
  void aLibraryOfAnySizeHasAResultThatFits() throws IOException {
    Problem warning = Problem.invalid("keep", "names nothing", "correct it").at("session.yaml", 3);
    Changes changes = new Changes(true, names(30_000), names(20_000), names(10));
    result =
        new BuildResult(
            30_000,
            0,
            0,
            0,
            folder.resolve("index.csv"),
            0,
            changes,
            Collections.nCopies(5000, warning));

    WatchBuildResponse last = build(request().build());

    assertTrue(last.getSerializedSize() < RECEIVED_BYTES, "" + last.getSerializedSize());
    assertEquals(1000, last.getResult().getWarningsCount());
    assertEquals(5000, last.getResult().getWarningsTotal());
    takewright.v1.BuildChanges sent = last.getResult().getChanges();
    assertEquals(changes.added().subList(0, 4000), sent.getAddedList());
    assertEquals(changes.changed().subList(0, 4000), sent.getChangedList());
    assertEquals(changes.vanished(), sent.getVanishedList());
    assertEquals(30_000, sent.getSamplesAdded());
    assertEquals(20_000, sent.getSamplesChanged());
    assertEquals(10, sent.getSamplesVanished());
    // A list counts, and does not name.
    Build listed = stub.listBuilds(ListBuildsRequest.getDefaultInstance()).getBuilds(0);
    assertEquals(0, listed.getResult().getChanges().getAddedCount());
    assertEquals(1000, listed.getResult().getWarningsCount());
    assertEquals(30_000, listed.getResult().getChanges().getSamplesAdded());
    GetBuildRequest whole = GetBuildRequest.newBuilder().setBuildId(listed.getBuildId()).build();
    assertEquals(last.getResult(), stub.getBuild(whole).getBuild().getResult());
  }

  @Test
  void aPageEndsBeforeItIsTooLarge() throws IOException {
    result = new BuildResult(0, 0, 0, 0, folder.resolve("index.csv"), 0, Changes.NONE, List.of());
    for (int i = 0; i < 30; i++) {
      build(request().setOnly("tap, ".repeat(40_000) + "tap").build());
    }
    List<String> ids = new ArrayList<>();
    String token = "";
    int pages = 0;
    do {
      ListBuildsResponse page =
          stub.listBuilds(ListBuildsRequest.newBuilder().setPageToken(token).build());
      assertTrue(page.getSerializedSize() < RECEIVED_BYTES, "" + page.getSerializedSize());
      page.getBuildsList().forEach(build -> ids.add(build.getBuildId()));
      token = page.getNextPageToken();
      pages++;
    } while (!token.isEmpty());
    assertTrue(pages > 3, "pages: " + pages);
    assertEquals(30, ids.size());
    assertEquals(30, new HashSet<>(ids).size());
  }

  @Test
  void aSheetWithThousandsOfErrorsHasAnAnswer() throws IOException {
    StringBuilder sheet = new StringBuilder("library: Larkfell\ntakes:\n");
    for (int i = 0; i < 900; i++) {
      sheet.append("  - {file: a").append(i).append(".wav, articulation: a").append(i);
      sheet.append(", notes: [A4], first: 1, second: 2, third: 3}\n");
    }
    Files.writeString(folder.resolve("session.yaml"), sheet);

    CheckSheetResponse answer =
        stub.checkSheet(
            CheckSheetRequest.newBuilder()
                .setSheetFile(folder.resolve("session.yaml").toString())
                .build());

    assertEquals(900 * 4, answer.getErrors(), "three unknown keys and no file");
    assertEquals(1000, answer.getProblemsCount());
    assertTrue(answer.getSerializedSize() < RECEIVED_BYTES, "" + answer.getSerializedSize());
  }
}
