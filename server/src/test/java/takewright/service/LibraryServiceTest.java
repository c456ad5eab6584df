package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import io.grpc.ManagedChannel;
import io.grpc.Server;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.inprocess.InProcessChannelBuilder;
import io.grpc.inprocess.InProcessServerBuilder;
import java.io.IOException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.Iterator;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.CancellationException;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.library.BuildProgress;
import takewright.library.BuildResult;
import takewright.library.BuildStep;
import takewright.library.folder.Changes;
import takewright.report.ReportedBuild;
import takewright.service.access.GrantedFolders;
import takewright.service.build.BuildCalls;
import takewright.service.build.BuildJobs;
import takewright.service.build.BuildPages;
import takewright.service.build.Builds;
import takewright.service.call.Site;
import takewright.service.work.Workers;
import takewright.v1.AuditFindingKind;
import takewright.v1.AuditRequest;
import takewright.v1.AuditResponse;
import takewright.v1.AuditSummary;
import takewright.v1.Build;
import takewright.v1.BuildState;
import takewright.v1.CancelBuildRequest;
import takewright.v1.CheckSheetRequest;
import takewright.v1.CheckSheetResponse;
import takewright.v1.GetBuildRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.LibraryServiceGrpc.LibraryServiceBlockingStub;
import takewright.v1.ListBuildsRequest;
import takewright.v1.ListBuildsResponse;
import takewright.v1.RenameSamplesRequest;
import takewright.v1.ResumeBuildRequest;
import takewright.v1.Severity;
import takewright.v1.SheetProblem;
import takewright.v1.StartBuildRequest;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** The library's calls; where a build would take long, one that the test steers stands in. */
class LibraryServiceTest {
  private static final String SHEET =
      """
      library: Larkfell
      takes:
        - file: sustain.wav
          articulation: sustain
          kind: pitched
          notes: [A3]
          dynamics: [f]
          round_robins: 1
      """;

  @TempDir Path root;
  private Path folder;
  private Path sheet;
  private Path state;
  private BuildJobs.Builder builder;
  private Builds builds;
  private Workers workers;
  private Server server;
  private ManagedChannel channel;
  private LibraryServiceBlockingStub stub;

  @BeforeEach
  void start() throws IOException {
    root = root.toRealPath();
    folder = Files.createDirectory(root.resolve("granted"));
    sheet = Files.writeString(folder.resolve("sheet.yaml"), SHEET);
    WavWriter.write(folder.resolve("sustain.wav"), Calls.note(48_000, 220), 24, WavChunks.NONE);
    state = root.resolve("state");
    serve();
  }

  private void serve() throws IOException {
    workers = new Workers(2);
    builds = new Builds(state);
    Site site = new Site(GrantedFolders.of(List.of(folder)), workers);
    String name = "library-" + System.nanoTime();
    server =
        InProcessServerBuilder.forName(name)
            .directExecutor()
            .addService(
                new LibraryService(
                    site,
                    new BuildCalls(
                        site,
                        new BuildPages(),
                        builds,
                        (b, p, c, a, s) -> builder.run(b, p, c, a, s))))
            .build()
            .start();
    channel = InProcessChannelBuilder.forName(name).build();
    stub = LibraryServiceGrpc.newBlockingStub(channel).withDeadlineAfter(30, TimeUnit.SECONDS);
  }

  @AfterEach
  void stop() {
    channel.shutdownNow();
    server.shutdownNow();
    workers.close();
  }

  private StartBuildRequest request() {
    return StartBuildRequest.newBuilder()
        .setSheetFile(sheet.toString())
        .setOutputFolder(folder.resolve("out").toString())
        .build();
  }

  private static BuildResult result(Path folder) {
    return new BuildResult(
        7,
        1,
        3,
        2,
        folder.resolve("index.csv"),
        4,
        Changes.NONE,
        List.of(Problem.invalid("drop", "names nothing", "correct it").at("sheet.yaml", 3)));
  }

  private Build start(StartBuildRequest request) {
    return stub.startBuild(request).getBuild();
  }

  private Iterator<WatchBuildResponse> watch(Build build) {
    return stub.watchBuild(WatchBuildRequest.newBuilder().setBuildId(build.getBuildId()).build());
  }

  /** Starts a build and watches it to its end. */
  private List<WatchBuildResponse> build() {
    List<WatchBuildResponse> answers = new ArrayList<>();
    watch(start(request())).forEachRemaining(answers::add);
    return answers;
  }

  private Build get(String id) {
    return stub.getBuild(GetBuildRequest.newBuilder().setBuildId(id).build()).getBuild();
  }

  private Build newest() {
    return stub.listBuilds(ListBuildsRequest.newBuilder().setPageSize(1).build()).getBuilds(0);
  }

  private CheckSheetResponse check(String text) throws IOException {
    Files.writeString(sheet, text);
    return stub.checkSheet(CheckSheetRequest.newBuilder().setSheetFile(sheet.toString()).build());
  }

  @Test
  void aSoundSheetHasNoProblems() throws IOException {
    CheckSheetResponse answer = check(SHEET);
    assertEquals(List.of(), answer.getProblemsList());
    assertEquals(1, answer.getCells());
    assertEquals(1, answer.getTakes());
    assertEquals(2, answer.getDurationS(), 1e-9);
  }

  @Test
  void problemsOfASheetNameTheirLine() throws IOException {
    CheckSheetResponse misspelt = check(SHEET.replace("dynamics", "dynamiks"));
    assertTrue(
        misspelt.getProblemsList().stream()
            .anyMatch(
                p ->
                    p.getSeverity() == Severity.SEVERITY_ERROR
                        && p.getLine() == 7
                        && p.getMessage().contains("dynamics")),
        misspelt.toString());
    CheckSheetResponse beyond = check(SHEET.replace("[A3]", "[C20]"));
    assertTrue(
        beyond.getProblemsList().stream()
            .anyMatch(
                p ->
                    p.getSeverity() == Severity.SEVERITY_ERROR
                        && p.getMessage().contains("C-1 to G9")),
        beyond.toString());
  }

  @Test
  void whatASheetNamesMustBeGrantedToo() throws IOException {
    WavWriter.write(root.resolve("outside.wav"), Calls.note(48_000, 220), 24, WavChunks.NONE);
    builder = (b, p, c, a, s) -> result(b.out());
    String text = SHEET.replace("sustain.wav", "../outside.wav");
    SheetProblem take = check(text).getProblems(0);
    assertEquals(Severity.SEVERITY_ERROR, take.getSeverity());
    assertEquals(
        1 + (int) text.lines().takeWhile(l -> !l.contains("outside")).count(), take.getLine());
    assertTrue(take.getMessage().startsWith("`file` lies outside"), take.getMessage());
    Calls.refused(
        Status.Code.PERMISSION_DENIED,
        this::build,
        "sheet.yaml:",
        "`file`",
        "outside.wav",
        "--allow");
    assertEquals(BuildState.BUILD_STATE_FAILED, newest().getState());
    Files.writeString(root.resolve("secret.mustache"), "{{secret");
    String template =
        SHEET + "map: {templates: [{file: ../secret.mustache, out: secret.txt}]}" + "\n";
    assertTrue(check(template).getProblems(0).getMessage().contains("secret.mustache"));
    Calls.refused(Status.Code.PERMISSION_DENIED, this::build, "secret.mustache", "--allow");
  }

  /** One check is enough to know all that has to be granted; the rest is checked as well. */
  @Test
  void everyFileOutsideTheGrantedFoldersIsNamed() throws IOException {
    WavWriter.write(root.resolve("hall.wav"), Calls.note(48_000, 220), 24, WavChunks.NONE);
    Files.writeString(root.resolve("keys.mustache"), "{{library}}");
    CheckSheetResponse answer =
        check(
            """
            library: Larkfell
            layers:
              - {name: close}
              - {name: hall, impulse: ../hall.wav}
            map: {templates: [{file: ../keys.mustache, out: keys.txt}]}
            takes:
              - {file: sustain.wav, articulation: sustain, notes: [A3]}
              - {file: [../one.wav, ../two.wav], articulation: short, notes: [A3]}
              - {file: absent.wav, articulation: tap, kind: unpitched}
            """);
    List<String> problems =
        answer.getProblemsList().stream().map(p -> p.getLine() + " " + p.getMessage()).toList();
    List<String> expected =
        List.of(
            "4 `impulse` lies outside .*/hall.wav.*--allow.*",
            "5 `file` lies outside .*/keys.mustache.*",
            "8 `file` lies outside .*/one.wav.*",
            "8 `file` lies outside .*/two.wav.*",
            "9 .*absent.wav.*does not exist.*");
    assertEquals(expected.size(), problems.size(), problems::toString);
    for (int i = 0; i < expected.size(); i++) {
      assertTrue(problems.get(i).matches(expected.get(i)), problems::toString);
    }
    assertEquals(5, answer.getErrors());
    assertEquals(3, answer.getTakes());
    assertEquals(3, answer.getCells(), "also those of takes that are not read");
    assertEquals(2, answer.getDurationS(), 1e-9);
  }

  @Test
  void aBrokenSheetCannotBeBuilt() throws IOException {
    builder = (b, p, c, a, s) -> result(b.out());
    Files.writeString(sheet, SHEET.replace("dynamics", "dynamiks"));
    Calls.refused(
        Status.Code.INVALID_ARGUMENT, this::build, "sheet.yaml:7", "dynamiks", "dynamics");
  }

  @Test
  void aBuildSaysHowFarItIsAndThenWhatCameOfIt() {
    builder =
        (b, p, c, a, s) -> {
          p.accept(new BuildProgress(BuildStep.SEGMENT, "sustain.wav", 0.1, 0, 0));
          p.accept(new BuildProgress(BuildStep.MATCH, "sustain.wav", 0.3, 0, 8));
          p.accept(new BuildProgress(BuildStep.WRITE, "sustain.wav", 0.2, 1, 8));
          return result(b.out());
        };
    List<WatchBuildResponse> answers = build();
    double done = 0;
    for (WatchBuildResponse answer : answers.subList(0, answers.size() - 1)) {
      assertTrue(answer.getProgress().getDone() >= done, "never goes down");
      done = answer.getProgress().getDone();
    }
    takewright.v1.BuildResult last = answers.get(answers.size() - 1).getResult();
    assertEquals(7, last.getSamples());
    assertEquals(1, last.getMissing());
    assertEquals(3, last.getLeftOut());
    assertEquals(2, last.getFlagged());
    assertEquals(4, last.getSamplesReused());
    assertEquals(List.of("sheet.yaml:3: `drop` names nothing; correct it"), last.getWarningsList());
    assertEquals(folder.resolve("out/index.csv").toString(), last.getIndexFile());
    Build build = newest();
    assertEquals(BuildState.BUILD_STATE_DONE, build.getState());
    assertEquals(1, build.getProgress().getDone());
    assertEquals(last, build.getResult());
    assertEquals(request(), build.getRequest());
    assertEquals(build, get(build.getBuildId()));
    assertTrue(build.getEndTime().getSeconds() >= build.getStartTime().getSeconds());
  }

  @Test
  void progressDoesNotPileUpBeforeAClientThatReadsSlowly() throws Exception {
    int many = 100_000;
    builder =
        (b, p, c, a, s) -> {
          for (int i = 0; i < many; i++) {
            p.accept(new BuildProgress(BuildStep.WRITE, "sustain.wav", (double) i / many, i, many));
          }
          return result(b.out());
        };
    assertTrue(build().size() <= 502, "one for each 0.2 % at the most");
  }

  @Test
  void aBuildIsCancelledListedAndResumed() throws Exception {
    CountDownLatch running = new CountDownLatch(1);
    builder =
        (b, p, c, a, s) -> {
          p.accept(new BuildProgress(BuildStep.SEGMENT, "sustain.wav", 0.4, 0, 0));
          running.countDown();
          for (int i = 0; i < 1000 && !c.getAsBoolean(); i++) {
            sleep();
          }
          throw new CancellationException();
        };
    String id = start(request()).getBuildId();
    assertTrue(running.await(10, TimeUnit.SECONDS));
    assertEquals(BuildState.BUILD_STATE_RUNNING, newest().getState());
    ResumeBuildRequest resume = ResumeBuildRequest.newBuilder().setBuildId(id).build();
    Calls.refused(Status.Code.FAILED_PRECONDITION, () -> stub.resumeBuild(resume), "build_id");
    Iterator<WatchBuildResponse> watched = watch(newest());
    assertEquals(0.4, watched.next().getProgress().getDone(), 1e-9);
    stub.cancelBuild(CancelBuildRequest.newBuilder().setBuildId(id).build());
    Calls.refused(Status.Code.CANCELLED, watched::hasNext, "the build was cancelled");
    assertEquals(BuildState.BUILD_STATE_CANCELLED, newest().getState());

    builder = (b, p, c, a, s) -> result(b.out());
    assertEquals(id, stub.resumeBuild(resume).getBuild().getBuildId());
    assertEquals(7, watch(newest()).next().getResult().getSamples());
    assertEquals(BuildState.BUILD_STATE_DONE, newest().getState());
    Calls.refused(Status.Code.FAILED_PRECONDITION, () -> stub.resumeBuild(resume), "done");
  }

  @Test
  void buildsAreKnownAfterTheServiceWasStartedAgain() throws Exception {
    builder = (b, p, c, a, s) -> result(b.out());
    build();
    CountDownLatch running = new CountDownLatch(1);
    builder =
        (b, p, c, a, s) -> {
          p.accept(new BuildProgress(BuildStep.SEGMENT, "sustain.wav", 0.4, 0, 0));
          running.countDown();
          for (int i = 0; i < 1000 && !c.getAsBoolean(); i++) {
            sleep();
          }
          throw new CancellationException();
        };
    String cutOff = start(request()).getBuildId();
    assertTrue(running.await(10, TimeUnit.SECONDS));
    // What a process that is killed leaves behind: a record that says that the build runs.
    Path killed = root.resolve("killed");
    copy(state, killed);
    stop();
    state = killed;
    serve();
    List<Build> builds = stub.listBuilds(ListBuildsRequest.getDefaultInstance()).getBuildsList();
    assertEquals(2, builds.size());
    assertEquals(cutOff, builds.get(0).getBuildId());
    assertEquals(BuildState.BUILD_STATE_FAILED, builds.get(0).getState());
    assertTrue(builds.get(0).getError().contains("ResumeBuild"), builds.get(0).getError());
    assertEquals("INTERRUPTED", builds.get(0).getErrorReason());
    // Retries, which UNAVAILABLE would ask for, change nothing.
    Calls.refused(
        Status.Code.FAILED_PRECONDITION,
        () -> watch(builds.get(0)).next(),
        "was cut off by the end of its service; call ResumeBuild");
    assertEquals(7, watch(builds.get(1)).next().getResult().getSamples());
    ListBuildsResponse older =
        stub.listBuilds(ListBuildsRequest.newBuilder().setPageToken(cutOff).build());
    assertEquals(List.of(builds.get(1)), older.getBuildsList());

    builder = (b, p, c, a, s) -> result(b.out());
    stub.resumeBuild(ResumeBuildRequest.newBuilder().setBuildId(cutOff).build());
    assertEquals(7, watch(builds.get(0)).next().getResult().getSamples());
  }

  @Test
  void aBuildThatAnOrderlyStopCutsOffIsInterruptedAfterwards() throws Exception {
    CountDownLatch running = new CountDownLatch(1);
    builder =
        (b, p, c, a, s) -> {
          running.countDown();
          for (int i = 0; i < 1000 && !c.getAsBoolean(); i++) {
            sleep();
          }
          throw new CancellationException();
        };
    Build cutOff = start(request());
    assertTrue(running.await(10, TimeUnit.SECONDS));
    builds.stopWithService();
    Calls.refused(Status.Code.UNAVAILABLE, () -> watch(cutOff).next(), "the service is stopping");
    stop();
    serve();
    assertEquals("INTERRUPTED", get(cutOff.getBuildId()).getErrorReason());
    Calls.refused(Status.Code.FAILED_PRECONDITION, () -> watch(cutOff).next(), "call ResumeBuild");
  }

  /** The result comes before the pictures; a service that is stopped then leaves some for later. */
  @Test
  void picturesThatAStopLeftAreDrawnByResuming() throws Exception {
    builder =
        (b, p, c, a, s) -> {
          var result = ReportedBuild.runUndrawn(b, p, c, a, s);
          builds.stopWithService();
          return result;
        };
    Build stopped = start(request());
    assertTrue(watch(stopped).hasNext());
    workers.close();
    assertEquals(1, get(stopped.getBuildId()).getPicturesLeft());
    stop();
    serve();
    assertEquals(1, get(stopped.getBuildId()).getPicturesLeft(), "after a restart too");
    Path pictures = folder.resolve("out/report/pictures");
    assertEquals(0, pictures.toFile().list().length);

    builder = ReportedBuild::runUndrawn;
    ResumeBuildRequest resume =
        ResumeBuildRequest.newBuilder().setBuildId(stopped.getBuildId()).build();
    stub.resumeBuild(resume);
    List<WatchBuildResponse> answers = new ArrayList<>();
    watch(stopped).forEachRemaining(answers::add);
    assertEquals(1, answers.get(answers.size() - 1).getResult().getSamplesReused());
    while (get(stopped.getBuildId()).getPicturesLeft() > 0) {
      sleep();
    }
    assertEquals(1, pictures.toFile().list().length);
    Calls.refused(Status.Code.FAILED_PRECONDITION, () -> stub.resumeBuild(resume), "is done");
  }

  /** Whoever copies the folder after the result asks for it to be whole. */
  @Test
  void theResultWaitsForThePicturesIfAskedTo() {
    builder = ReportedBuild::runUndrawn;
    Build build = start(request());
    WatchBuildRequest watch =
        WatchBuildRequest.newBuilder().setBuildId(build.getBuildId()).setWithPictures(true).build();
    List<WatchBuildResponse> answers = new ArrayList<>();
    stub.watchBuild(watch).forEachRemaining(answers::add);
    assertTrue(answers.get(answers.size() - 1).hasResult());
    assertEquals(0, get(build.getBuildId()).getPicturesLeft());
    assertEquals(1, folder.resolve("out/report/pictures").toFile().list().length);
    assertTrue(stub.watchBuild(watch).next().hasResult(), "nothing is left to wait for");
  }

  @Test
  void aBuildThatIsDoneHasProgressToMatchAndAResumedOneIsTheNewest() {
    builder =
        (b, p, c, a, s) -> {
          p.accept(new BuildProgress(BuildStep.WRITE, "sustain.wav", 0.9, 5, 9));
          throw new ProblemException(Reason.DISK_FULL, "", "the disk is full", "free some space");
        };
    Build failed = start(request());
    Calls.refused(Status.Code.RESOURCE_EXHAUSTED, () -> watch(failed).forEachRemaining(w -> {}));
    builder =
        (b, p, c, a, s) -> {
          p.accept(new BuildProgress(BuildStep.WRITE, "sustain.wav", 0.9, 5, 9));
          return result(b.out());
        };
    build();
    takewright.v1.BuildProgress done = newest().getProgress();
    assertEquals(7, done.getSamplesDone());
    assertEquals(7, done.getSamplesTotal());
    assertEquals(1, done.getDone());
    stub.resumeBuild(ResumeBuildRequest.newBuilder().setBuildId(failed.getBuildId()).build());
    watch(failed).forEachRemaining(answer -> {});
    List<Build> list = stub.listBuilds(ListBuildsRequest.getDefaultInstance()).getBuildsList();
    assertEquals(failed.getBuildId(), list.get(0).getBuildId());
    assertEquals(2, list.size());
  }

  private static void copy(Path from, Path to) throws IOException {
    Files.createDirectories(to);
    try (Stream<Path> files = Files.list(from)) {
      // A file that is being written has no name yet.
      for (Path file : files.filter(one -> one.toString().endsWith(".json")).toList()) {
        Files.copy(file, to.resolve(file.getFileName().toString()));
      }
    }
  }

  @Test
  void severalClientsLookOnAtABuildAndLeavingDoesNotStopIt() throws Exception {
    CountDownLatch running = new CountDownLatch(1);
    CountDownLatch goOn = new CountDownLatch(1);
    builder =
        (b, p, c, a, s) -> {
          p.accept(new BuildProgress(BuildStep.SEGMENT, "sustain.wav", 0.4, 0, 0));
          running.countDown();
          try {
            goOn.await(10, TimeUnit.SECONDS);
          } catch (InterruptedException e) {
            throw new CancellationException();
          }
          return result(b.out());
        };
    start(request());
    assertTrue(running.await(10, TimeUnit.SECONDS));
    WatchBuildRequest id = WatchBuildRequest.newBuilder().setBuildId(newest().getBuildId()).build();
    Iterator<WatchBuildResponse> one = stub.watchBuild(id);
    Iterator<WatchBuildResponse> two = stub.watchBuild(id);
    assertEquals(0.4, one.next().getProgress().getDone(), 1e-9);
    assertEquals(0.4, two.next().getProgress().getDone(), 1e-9);
    io.grpc.Context.CancellableContext leaving = io.grpc.Context.current().withCancellation();
    leaving.run(() -> assertTrue(stub.watchBuild(id).hasNext()));
    leaving.cancel(null);

    goOn.countDown();
    assertEquals(7, one.next().getResult().getSamples());
    assertFalse(one.hasNext());
    assertEquals(7, two.next().getResult().getSamples());
    // Whoever comes late learns the same.
    assertEquals(7, stub.watchBuild(id).next().getResult().getSamples());
    Calls.refused(
        Status.Code.NOT_FOUND,
        () -> stub.watchBuild(WatchBuildRequest.newBuilder().setBuildId("x").build()).next(),
        "build_id");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> stub.getBuild(GetBuildRequest.getDefaultInstance()),
        "`build_id` is empty");
  }

  private static void sleep() {
    try {
      Thread.sleep(10);
    } catch (InterruptedException e) {
      throw new CancellationException();
    }
  }

  @Test
  void aServiceThatEndsStopsItsBuildsAndSaysSo() throws Exception {
    CountDownLatch running = new CountDownLatch(1);
    builder =
        (b, p, c, a, s) -> {
          running.countDown();
          for (int i = 0; i < 3000 && !c.getAsBoolean(); i++) {
            sleep();
          }
          throw new CancellationException();
        };
    Iterator<WatchBuildResponse> watched = watch(start(request()));
    assertTrue(running.await(10, TimeUnit.SECONDS));
    builds.stopWithService();
    Calls.refused(
        Status.Code.UNAVAILABLE, watched::hasNext, "the service is stopping", "ResumeBuild");
  }

  @Test
  void failuresOfABuildBecomeTheirStatus() {
    builder =
        (b, p, c, a, s) -> {
          throw new FileProblemException(
              Reason.IN_USE, b.out().toString(), "is being written to by another build", "wait");
        };
    Calls.refused(Status.Code.ABORTED, this::build);
    assertEquals("IN_USE", newest().getErrorReason());
    builder =
        (b, p, c, a, s) -> {
          throw new FileSystemException(b.out().toString(), null, "No space left on device");
        };
    Calls.refused(Status.Code.RESOURCE_EXHAUSTED, this::build, "disk is full", "free some space");
    builder =
        (b, p, c, a, s) -> {
          throw new IOException("No space left on device");
        };
    Calls.refused(Status.Code.RESOURCE_EXHAUSTED, this::build, "disk is full");
    builder =
        (b, p, c, a, s) -> {
          throw new IllegalStateException("a secret detail");
        };
    StatusRuntimeException unexpected =
        org.junit.jupiter.api.Assertions.assertThrows(StatusRuntimeException.class, this::build);
    assertEquals(Status.Code.INTERNAL, unexpected.getStatus().getCode());
    assertFalse(unexpected.getMessage().contains("secret"), unexpected.getMessage());
    assertEquals(BuildState.BUILD_STATE_FAILED, newest().getState());
    assertFalse(newest().getError().isEmpty());
  }

  @Test
  void requestsOutsideTheFoldersAreRefused() {
    Calls.refused(
        Status.Code.PERMISSION_DENIED,
        () -> start(request().toBuilder().setOutputFolder(root.resolve("x").toString()).build()),
        "output_folder");
    Calls.refused(
        Status.Code.PERMISSION_DENIED,
        () -> start(request().toBuilder().setSheetFile(root.resolve("x").toString()).build()),
        "sheet_file");
    Calls.refused(
        Status.Code.NOT_FOUND,
        () -> start(request().toBuilder().setSheetFile(folder.resolve("x").toString()).build()),
        "sheet_file");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> start(request().toBuilder().setOutputFolder(folder.toString()).build()),
        "`output_folder`",
        "is the folder that the take sustain.wav is in");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> start(request().toBuilder().setOutputFolder(folder + "/" + "x".repeat(300)).build()),
        "`output_folder`",
        "too long");
    assertEquals(0, stub.listBuilds(ListBuildsRequest.getDefaultInstance()).getBuildsCount());
  }

  @Test
  void buildsAreListedPageByPageNewestFirst() {
    builder = (b, p, c, a, s) -> result(b.out());
    for (int i = 1; i <= 5; i++) {
      String out = folder.resolve("out" + i).toString();
      watch(start(request().toBuilder().setOutputFolder(out).build())).forEachRemaining(a -> {});
    }
    List<String> started = new ArrayList<>();
    for (Build info : stub.listBuilds(ListBuildsRequest.getDefaultInstance()).getBuildsList()) {
      started.add(info.getBuildId());
    }
    List<String> ids = new ArrayList<>();
    List<String> outs = new ArrayList<>();
    String token = "";
    do {
      ListBuildsResponse page =
          stub.listBuilds(
              ListBuildsRequest.newBuilder().setPageSize(2).setPageToken(token).build());
      assertTrue(page.getBuildsCount() <= 2);
      page.getBuildsList().forEach(info -> ids.add(info.getBuildId()));
      page.getBuildsList()
          .forEach(
              info ->
                  outs.add(Path.of(info.getRequest().getOutputFolder()).getFileName().toString()));
      token = page.getNextPageToken();
    } while (!token.isEmpty());
    assertEquals(List.of("out5", "out4", "out3", "out2", "out1"), outs);
    assertEquals(started, ids);
    assertEquals(5, new HashSet<>(ids).size());
    assertTrue(
        ids.stream().allMatch(id -> id.matches("build(-[0-9a-hjkmnp-tv-z]{4}){3}")), "" + ids);
    String shouted = ids.get(2).toUpperCase(Locale.ROOT);
    assertEquals(
        ids.get(2),
        stub.cancelBuild(CancelBuildRequest.newBuilder().setBuildId(shouted).build())
            .getBuild()
            .getBuildId());
    // Of another server.
    String tokenElsewhere = "build-0123-4567-89ab";
    String buildElsewhere = "build-0123-4567-89ab";
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> stub.listBuilds(ListBuildsRequest.newBuilder().setPageToken(tokenElsewhere).build()),
        "page_token",
        "not from this server");
    Calls.refused(
        Status.Code.NOT_FOUND,
        () -> stub.cancelBuild(CancelBuildRequest.newBuilder().setBuildId(buildElsewhere).build()),
        "build_id",
        buildElsewhere);
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> stub.listBuilds(ListBuildsRequest.newBuilder().setPageSize(-1).build()),
        "page_size");
    assertEquals(
        5,
        stub.listBuilds(ListBuildsRequest.newBuilder().setPageSize(100_000).build())
            .getBuildsCount());
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> stub.listBuilds(ListBuildsRequest.newBuilder().setPageToken("x").build()),
        "page_token");
    Calls.refused(
        Status.Code.NOT_FOUND,
        () -> stub.cancelBuild(CancelBuildRequest.newBuilder().setBuildId("build-9").build()),
        "build-9");
  }

  private static List<AuditResponse> all(Iterator<AuditResponse> answers) {
    List<AuditResponse> list = new ArrayList<>();
    answers.forEachRemaining(list::add);
    return list;
  }

  @Test
  void anAuditSendsItsFindingsThenASummaryAndItsPlanCanBeCarriedOut() throws IOException {
    Path samples = Files.createDirectory(folder.resolve("samples"));
    WavWriter.write(samples.resolve("A3.wav"), Calls.note(48_000, 220), 24, WavChunks.NONE);
    WavWriter.write(samples.resolve("D4.wav"), Calls.note(48_000, 329.63), 24, WavChunks.NONE);
    Path plan = folder.resolve("plan.csv");
    AuditRequest request =
        AuditRequest.newBuilder()
            .setFolder(samples.toString())
            .setRenamePlanFile(plan.toString())
            .build();
    List<AuditResponse> answers = all(stub.audit(request));
    assertEquals(3, answers.size(), answers.toString());
    assertEquals("D4.wav", answers.get(0).getFinding().getFile());
    assertEquals(
        AuditFindingKind.AUDIT_FINDING_KIND_WRONG_NOTE, answers.get(0).getFinding().getKind());
    assertEquals("D4", answers.get(0).getFinding().getSays());
    assertEquals("E4", answers.get(0).getFinding().getSounds());
    assertEquals(64, answers.get(0).getFinding().getPitch().getMidi());
    assertEquals("E4.wav", answers.get(1).getRename().getTo());
    AuditSummary summary = answers.get(2).getSummary();
    assertEquals(2, summary.getFiles());
    assertEquals("C4", summary.getMiddleC());
    assertEquals(1, summary.getRenames());
    assertTrue(Files.exists(samples.resolve("D4.wav")), "nothing is renamed by an audit");

    RenameSamplesRequest rename =
        RenameSamplesRequest.newBuilder()
            .setFolder(samples.toString())
            .setPlanFile(plan.toString())
            .setUndoFile(folder.resolve("undo.csv").toString())
            .build();
    assertEquals(1, stub.renameSamples(rename).getRenamed());
    assertTrue(Files.exists(samples.resolve("E4.wav")));
    Calls.refused(Status.Code.ALREADY_EXISTS, () -> stub.renameSamples(rename), "undo_file");
    assertEquals(1, all(stub.audit(request)).size());
  }

  @Test
  void auditsAndRenamesStayInTheGrantedFolders() throws IOException {
    Path samples = Files.createDirectory(folder.resolve("samples"));
    AuditRequest.Builder request = AuditRequest.newBuilder().setFolder(samples.toString());
    Calls.refused(
        Status.Code.PERMISSION_DENIED,
        () -> all(stub.audit(AuditRequest.newBuilder().setFolder(root.toString()).build())),
        "outside");
    Calls.refused(
        Status.Code.NOT_FOUND,
        () -> all(stub.audit(AuditRequest.newBuilder().setFolder(samples + "x").build())),
        "folder");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> all(stub.audit(request.clone().setTuningHz(100).build())),
        "tuning_hz");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> all(stub.audit(request.clone().setRenamePlanFile(samples + "/p.csv").build())),
        "rename_plan_file");
    Calls.refused(
        Status.Code.PERMISSION_DENIED,
        () -> all(stub.audit(request.clone().setRenamePlanFile(root + "/p.csv").build())),
        "rename_plan_file");
    Path plan = Files.writeString(folder.resolve("plan.csv"), "from,to,via\n../a,../b,../c\n");
    RenameSamplesRequest.Builder rename =
        RenameSamplesRequest.newBuilder()
            .setFolder(samples.toString())
            .setPlanFile(plan.toString())
            .setUndoFile(folder.resolve("undo.csv").toString());
    Calls.refused(Status.Code.INVALID_ARGUMENT, () -> stub.renameSamples(rename.build()), "folder");
    Calls.refused(
        Status.Code.ALREADY_EXISTS, // the plan is somebody's own
        () -> stub.renameSamples(rename.clone().setUndoFile(plan.toString()).build()),
        "undo_file");
    Files.writeString(plan, "nonsense");
    Calls.refused(Status.Code.INVALID_ARGUMENT, () -> stub.renameSamples(rename.build()), "plan");
  }
}
