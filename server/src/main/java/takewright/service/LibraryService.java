package takewright.service;

import io.grpc.stub.ServerCallStreamObserver;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import java.util.function.Function;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.report.ReportedBuild;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.Take;
import takewright.sheet.read.Check;
import takewright.sheet.read.CheckReport;
import takewright.sheet.read.SheetReader;
import takewright.v1.AuditRequest;
import takewright.v1.AuditResponse;
import takewright.v1.BuildProgress;
import takewright.v1.BuildRequest;
import takewright.v1.BuildResponse;
import takewright.v1.BuildResult;
import takewright.v1.BuildStep;
import takewright.v1.CancelBuildRequest;
import takewright.v1.CancelBuildResponse;
import takewright.v1.CheckSheetRequest;
import takewright.v1.CheckSheetResponse;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.ListBuildsRequest;
import takewright.v1.ListBuildsResponse;
import takewright.v1.OpenBuildPageRequest;
import takewright.v1.OpenBuildPageResponse;
import takewright.v1.RenameSamplesRequest;
import takewright.v1.RenameSamplesResponse;
import takewright.v1.RenderRequest;
import takewright.v1.RenderResponse;
import takewright.v1.ResumeBuildRequest;
import takewright.v1.ResumeBuildResponse;
import takewright.v1.Severity;
import takewright.v1.SheetProblem;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** Checks, builds and audits libraries. */
final class LibraryService extends LibraryServiceGrpc.LibraryServiceImplBase {
  private static final int USUAL_PAGE = 50;
  private static final int LARGEST_PAGE = 500;

  /**
   * Progress is sent each time this share of the work is done: at most about a hundred messages per
   * build.
   */
  private static final double PROGRESS_STEP = 0.002;

  /** Runs a build. */
  interface Builder {
    takewright.library.BuildResult run(
        Path sheetFile,
        Path outputFolder,
        Consumer<takewright.library.BuildProgress> progress,
        BooleanSupplier cancelled,
        boolean allSounds)
        throws IOException;
  }

  private final Site site;
  private final Builder builder;
  private final BuildPages pages;
  private final Builds builds = new Builds();

  LibraryService(Site site, BuildPages pages) {
    this(site, pages, ReportedBuild::run);
  }

  LibraryService(Site site, BuildPages pages, Builder builder) {
    this.site = site;
    this.pages = pages;
    this.builder = builder;
  }

  @Override
  public void checkSheet(CheckSheetRequest request, StreamObserver<CheckSheetResponse> answers) {
    UnaryCall.work(
        site.workers(),
        Priority.SHORT,
        answers,
        () -> {
          Path sheet = site.folders().fileToRead("sheet_file", request.getSheetFile());
          try {
            checkFilesOf(SheetReader.read(sheet));
          } catch (SheetException e) {
            // The check reports it, with all other problems.
          }
          return wire(Check.apply(sheet));
        });
  }

  /** Files named by a sheet must be granted like those named by a request. */
  private void checkFilesOf(Sheet sheet) throws IOException {
    for (Take take : sheet.takes()) {
      for (Path file : take.paths()) {
        site.folders().mayReach("sheet_file", file);
      }
    }
    for (Layer layer : sheet.layers()) {
      if (layer.impulse() != null) {
        site.folders().mayReach("sheet_file", layer.impulse());
      }
    }
  }

  @Override
  public void build(BuildRequest request, StreamObserver<BuildResponse> observer) {
    run(
        observer,
        () -> {
          site.folders().fileToRead("sheet_file", request.getSheetFile());
          site.folders().folderToWrite("output_folder", request.getOutputFolder());
          return builds.start(
              request.getSheetFile(), request.getOutputFolder(), request.getAllSounds());
        },
        progress -> BuildResponse.newBuilder().setProgress(progress).build(),
        result -> BuildResponse.newBuilder().setResult(result).build());
  }

  @Override
  public void resumeBuild(
      ResumeBuildRequest request, StreamObserver<ResumeBuildResponse> observer) {
    run(
        observer,
        () -> {
          Builds.Run run = builds.get(request.getBuildId());
          run.resume();
          return run;
        },
        progress -> ResumeBuildResponse.newBuilder().setProgress(progress).build(),
        result -> ResumeBuildResponse.newBuilder().setResult(result).build());
  }

  /** Finds or creates the build of a call. */
  private interface Opening {
    Builds.Run open() throws IOException;
  }

  private <A> void run(
      StreamObserver<A> observer,
      Opening opening,
      Function<BuildProgress, A> progressAnswer,
      Function<BuildResult, A> resultAnswer) {
    ServerCallStreamObserver<A> call = (ServerCallStreamObserver<A>) observer;
    Answers<A> answers = new Answers<>(call);
    call.setOnReadyHandler(answers::changed);
    call.setOnCancelHandler(answers::changed);
    UnaryCall.guard(
        answers,
        () ->
            site.workers()
                .run(
                    Priority.BATCH,
                    () ->
                        UnaryCall.guard(
                            answers,
                            () -> {
                              build(opening.open(), answers, progressAnswer, resultAnswer);
                              answers.end();
                            })));
  }

  private <A> void build(
      Builds.Run run,
      Answers<A> answers,
      Function<BuildProgress, A> progressAnswer,
      Function<BuildResult, A> resultAnswer)
      throws IOException {
    try {
      Path sheet = site.folders().fileToRead("sheet_file", run.sheetFile());
      Path folder = site.folders().folderToWrite("output_folder", run.outputFolder());
      checkFilesOf(SheetReader.read(sheet));
      ProgressFilter<A> filter = new ProgressFilter<>(run, answers, progressAnswer);
      takewright.library.BuildResult result =
          builder.run(
              sheet,
              folder,
              filter::take,
              () -> {
                site.workers().scheduler().stepAside();
                return run.stopped() || answers.cancelled();
              },
              run.allSounds());
      BuildResult answer =
          BuildResult.newBuilder()
              .setBuildId(run.id())
              .setSamples(result.samples())
              .setMissing(result.missing())
              .setLeftOut(result.leftOut())
              .setFlagged(result.flagged())
              .setIndexFile(result.indexFile().toAbsolutePath().toString())
              .setSamplesReused(result.samplesReused())
              .addAllWarnings(result.warnings())
              .build();
      run.done(answer);
      answers.send(resultAnswer.apply(answer));
    } catch (Throwable e) {
      ProblemException known = new ProblemException(Failures.of(e), e);
      if (run.running()) {
        run.fail(known);
      }
      throw known;
    }
  }

  /**
   * Sends the progress that a client can use: a new step or take, or a further share of the work,
   * and only while the client keeps up. Later progress replaces what is omitted.
   */
  private static final class ProgressFilter<A> {
    private final Builds.Run run;
    private final Answers<A> answers;
    private final Function<BuildProgress, A> answer;
    private takewright.library.BuildProgress sent;

    ProgressFilter(Builds.Run run, Answers<A> answers, Function<BuildProgress, A> answer) {
      this.run = run;
      this.answers = answers;
      this.answer = answer;
    }

    /** Called from any thread of the build, one at a time. */
    synchronized void take(takewright.library.BuildProgress progress) {
      double done = run.progress(progress.done());
      boolean news =
          sent == null
              || sent.step() != progress.step()
              || !sent.take().equals(progress.take())
              || done - sent.done() >= PROGRESS_STEP;
      if (!news) {
        return;
      }
      sent = progress;
      BuildProgress wire =
          BuildProgress.newBuilder()
              .setBuildId(run.id())
              .setStep(wire(progress.step()))
              .setTake(progress.take())
              .setDone(done)
              .setSamplesDone(progress.samplesDone())
              .setSamplesTotal(progress.samplesTotal())
              .build();
      run.tell(wire);
      if (!answers.cancelled() && answers.ready()) {
        answers.send(answer.apply(wire));
      }
    }
  }

  @Override
  public void listBuilds(ListBuildsRequest request, StreamObserver<ListBuildsResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () -> {
          int size = request.getPageSize() == 0 ? USUAL_PAGE : request.getPageSize();
          if (size < 0 || size > LARGEST_PAGE) {
            throw new ProblemException(Problem.outOfRange("page_size", size, 0, 500, ""));
          }
          // One more than requested, to see whether there are more.
          List<Builds.Run> page = builds.page(request.getPageToken(), size + 1);
          ListBuildsResponse.Builder answer = ListBuildsResponse.newBuilder();
          for (Builds.Run run : page.subList(0, Math.min(size, page.size()))) {
            answer.addBuilds(run.info());
          }
          if (page.size() > size) {
            answer.setNextPageToken(builds.pageToken(page.get(size - 1)));
          }
          return answer.build();
        });
  }

  @Override
  public void watchBuild(WatchBuildRequest request, StreamObserver<WatchBuildResponse> observer) {
    ServerCallStreamObserver<WatchBuildResponse> call =
        (ServerCallStreamObserver<WatchBuildResponse>) observer;
    Answers<WatchBuildResponse> answers = new Answers<>(call);
    UnaryCall.guard(
        answers,
        () -> {
          Builds.Run run = builds.get(request.getBuildId());
          OnLooker looker = new OnLooker(answers);
          call.setOnCancelHandler(() -> run.leave(looker));
          run.watch(looker);
        });
  }

  /** A watcher of a build. Never waits: later progress replaces what a slow client misses. */
  private record OnLooker(Answers<WatchBuildResponse> answers) implements Builds.Watcher {
    @Override
    public void progress(BuildProgress progress) {
      if (answers.ready()) {
        answers.sendOnly(WatchBuildResponse.newBuilder().setProgress(progress).build());
      }
    }

    @Override
    public void over(BuildResult result, ProblemException failure) {
      if (failure != null) {
        answers.fail(failure);
        return;
      }
      answers.sendOnly(WatchBuildResponse.newBuilder().setResult(result).build());
      answers.end();
    }
  }

  @Override
  public void openBuildPage(
      OpenBuildPageRequest request, StreamObserver<OpenBuildPageResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () ->
            OpenBuildPageResponse.newBuilder()
                .setUrl(pages.open(builds.get(request.getBuildId())))
                .build());
  }

  @Override
  public void cancelBuild(CancelBuildRequest request, StreamObserver<CancelBuildResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () -> {
          Builds.Run run = builds.get(request.getBuildId());
          run.stop();
          return CancelBuildResponse.newBuilder().setBuild(run.info()).build();
        });
  }

  @Override
  public void audit(AuditRequest request, StreamObserver<AuditResponse> observer) {
    ServerCallStreamObserver<AuditResponse> call =
        (ServerCallStreamObserver<AuditResponse>) observer;
    Answers<AuditResponse> answers = new Answers<>(call);
    call.setOnReadyHandler(answers::changed);
    call.setOnCancelHandler(answers::changed);
    UnaryCall.guard(
        answers,
        () ->
            site.workers()
                .run(
                    Priority.BATCH,
                    () ->
                        UnaryCall.guard(
                            answers,
                            () -> {
                              AuditAdapter.run(request, site, answers);
                              answers.end();
                            })));
  }

  @Override
  public void renameSamples(
      RenameSamplesRequest request, StreamObserver<RenameSamplesResponse> answers) {
    UnaryCall.work(
        site.workers(),
        Priority.BATCH,
        answers,
        () -> AuditAdapter.rename(request, site.folders()));
  }

  private static BuildStep wire(takewright.library.BuildStep step) {
    return switch (step) {
      case SEGMENT -> BuildStep.BUILD_STEP_SEGMENT;
      case MATCH -> BuildStep.BUILD_STEP_MATCH;
      case WRITE -> BuildStep.BUILD_STEP_WRITE;
      case REPORT -> BuildStep.BUILD_STEP_REPORT;
    };
  }

  private static CheckSheetResponse wire(CheckReport report) {
    CheckSheetResponse.Builder answer =
        CheckSheetResponse.newBuilder()
            .setCells(report.cells())
            .setTakes(report.takes())
            .setDurationS(report.durationS());
    for (takewright.sheet.SheetProblem problem : report.problems()) {
      answer.addProblems(
          SheetProblem.newBuilder()
              .setSeverity(
                  problem.severity() == takewright.sheet.SheetProblem.Severity.ERROR
                      ? Severity.SEVERITY_ERROR
                      : Severity.SEVERITY_WARNING)
              .setLine(problem.line())
              .setMessage(problem.message()));
    }
    return answer.build();
  }

  @Override
  public void render(RenderRequest request, StreamObserver<RenderResponse> answers) {
    UnaryCall.work(
        site.workers(), Priority.BATCH, answers, () -> RenderAdapter.run(request, site.folders()));
  }
}
