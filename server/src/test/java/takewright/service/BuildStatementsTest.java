package takewright.service;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.inprocess.InProcessChannelBuilder;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.v1.AuditRequest;
import takewright.v1.AuditResponse;
import takewright.v1.Build;
import takewright.v1.BuildResult;
import takewright.v1.BuildState;
import takewright.v1.CancelBuildRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.ResumeBuildRequest;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** What the comments of the contract say about builds and their folders, by builds of one note. */
class BuildStatementsTest {
  private static final int RATE = 48_000;

  private static final String SHEET =
      """
      library: Larkfell
      layers: [{name: close}, {name: hall, room: {absorption: 0.5}}]
      takes:
        - {file: sustain.wav, articulation: sustain, notes: [A3], dynamics: [f]}
      """;

  private static final String CLOSE = "Larkfell_sustain_close_A3_f_rr1.wav";
  private static final String HALL = "Larkfell_sustain_hall_A3_f_rr1.wav";

  @TempDir Path folder;
  private Path sheet;
  private Path out;
  private TakewrightServer server;
  private ManagedChannel channel;
  private LibraryServiceBlockingStub stub;

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    sheet = Files.writeString(folder.resolve("sheet.yaml"), SHEET);
    writeTake(1);
    out = folder.resolve("out");
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
    stub = LibraryServiceGrpc.newBlockingStub(channel).withDeadlineAfter(60, TimeUnit.SECONDS);
  }

  @AfterEach
  void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  private void writeTake(int channels) throws IOException {
    float[][] note = new float[channels][];
    Arrays.fill(note, Calls.note(RATE, 220).channel(0));
    WavWriter.write(folder.resolve("sustain.wav"), Clip.of(RATE, note), 24, WavChunks.NONE);
  }

  private Build begin() {
    return stub.startBuild(
            StartBuildRequest.newBuilder()
                .setSheetFile(sheet.toString())
                .setOutputFolder(out.toString())
                .build())
        .getBuild();
  }

  private BuildResult result(Build build) {
    WatchBuildResponse last = null;
    for (var answers =
            stub.watchBuild(WatchBuildRequest.newBuilder().setBuildId(build.getBuildId()).build());
        answers.hasNext(); ) {
      last = answers.next();
    }
    return last.getResult();
  }

  private int audited() {
    int files = -1;
    for (var answers = stub.audit(AuditRequest.newBuilder().setFolder(out.toString()).build());
        answers.hasNext(); ) {
      AuditResponse answer = answers.next();
      files = answer.hasSummary() ? answer.getSummary().getFiles() : files;
    }
    return files;
  }

  @Test
  void anAuditOfALibraryHearsTheSamplesOfItsLayersAlone() throws IOException {
    result(begin());
    String louder = SHEET.replace("dynamics: [f]", "dynamics: [f], fixes: [{at: 1, gain_db: -3}]");
    Files.writeString(sheet, louder);
    assertEquals(2, result(begin()).getChanges().getSamplesChanged());
    try (Stream<Path> all = Files.walk(out)) {
      List<String> files = all.map(file -> out.relativize(file).toString()).toList();
      assertTrue(files.contains(".takewright/before/" + CLOSE), files.toString());
      assertTrue(files.contains("report/index.html") && files.contains("play.html"));
    }
    assertEquals(2, audited());

    Path deep = Files.createDirectories(out.resolve("further"));
    Files.copy(out.resolve(CLOSE), deep.resolve("B3.WAV"));
    Files.copy(out.resolve(CLOSE), deep.resolve(".C4.wav"));
    Files.createSymbolicLink(deep.resolve("D4.wav"), out.resolve(CLOSE));
    assertEquals(3, audited());
  }

  @Test
  void onlyAPlanOfItsOwnIsReplacedByAnAudit() throws IOException {
    Files.createDirectory(out);
    Files.copy(folder.resolve("sustain.wav"), out.resolve("sustain.wav"));
    AuditRequest.Builder audit = AuditRequest.newBuilder().setFolder(out.toString());
    Path plan = folder.resolve("plan.csv");
    for (int i = 0; i < 2; i++) {
      assertTrue(stub.audit(audit.setRenamePlanFile(plan.toString()).build()).hasNext());
    }
    Files.writeString(plan, "mine");
    Calls.refused(
        Status.Code.ALREADY_EXISTS, () -> stub.audit(audit.build()).hasNext(), "rename_plan_file");
    assertEquals("mine", Files.readString(plan));
  }

  @Test
  void anOutputFolderIsMadeWithThoseAboveItAndKeepsWhatElseIsInIt() throws IOException {
    out = folder.resolve("made/with/those above");
    result(begin());
    Files.writeString(out.resolve("notes.txt"), "mine");
    assertEquals(2, result(begin()).getSamplesReused());
    assertEquals("mine", Files.readString(out.resolve("notes.txt")));
  }

  @Test
  void aSampleThatSomeoneElseMadeEndsTheBuild() throws IOException {
    Files.createDirectory(out);
    Files.copy(folder.resolve("sustain.wav"), out.resolve(HALL));
    byte[] theirs = Files.readAllBytes(out.resolve(HALL));
    Build build = begin();
    Calls.refused(Status.Code.ALREADY_EXISTS, () -> result(build), HALL, "move it away");
    assertArrayEquals(theirs, Files.readAllBytes(out.resolve(HALL)));
  }

  /** Each layer of a take with three channels has three too, that of a computed room as well. */
  @Test
  void aComputedRoomHasAllChannelsOfATake() throws IOException {
    writeTake(3);
    assertEquals(2, result(begin()).getSamples());
    for (String name : List.of(CLOSE, HALL)) {
      try (AudioFile audio = AudioFile.open(out.resolve(name))) {
        assertEquals(3, audio.channels(), name);
      }
    }
  }

  @Test
  void aBuildThatIsDoneIsNeitherCancelledNorResumed() {
    Build build = begin();
    BuildResult result = result(build);
    CancelBuildRequest cancel =
        CancelBuildRequest.newBuilder().setBuildId(build.getBuildId()).build();
    Build shown = stub.cancelBuild(cancel).getBuild();
    assertEquals(BuildState.BUILD_STATE_DONE, shown.getState());
    assertEquals(result, result(build));
    ResumeBuildRequest resume =
        ResumeBuildRequest.newBuilder().setBuildId(build.getBuildId()).build();
    Calls.refused(
        Status.Code.FAILED_PRECONDITION, () -> stub.resumeBuild(resume), "start a new build");
  }
}
