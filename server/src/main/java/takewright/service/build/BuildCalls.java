package takewright.service.build;

import io.grpc.stub.ServerCallStreamObserver;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.util.List;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import java.util.function.Function;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.library.BuildOrder;
import takewright.report.PageSource;
import takewright.report.ReportedBuild;
import takewright.service.call.Answers;
import takewright.service.call.SheetFiles;
import takewright.service.call.Site;
import takewright.service.call.UnaryCall;
import takewright.service.wire.Failures;
import takewright.service.work.Priority;
import takewright.v1.BuildProgress;
import takewright.v1.BuildRequest;
import takewright.v1.BuildResponse;
import takewright.v1.BuildResult;
import takewright.v1.CancelBuildRequest;
import takewright.v1.CancelBuildResponse;
import takewright.v1.ListBuildsRequest;
import takewright.v1.ListBuildsResponse;
import takewright.v1.OpenBuildPageRequest;
import takewright.v1.OpenBuildPageResponse;
import takewright.v1.ResumeBuildRequest;
import takewright.v1.ResumeBuildResponse;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** The calls that start, follow and stop builds. */
public final class BuildCalls {
  private static final int USUAL_PAGE = 50;
  private static final int LARGEST_PAGE = 500;

  /** Runs a build. */
  public interface Builder {
    /**
     * Builds a library and its page.
     *
     * @param order what to build
     * @param progress told where it is
     * @param cancelled asked now and then
     * @param allSounds whether the page keeps the sounds of all samples
     * @param served told what makes further parts of the page
     */
    takewright.library.BuildResult run(
        BuildOrder order,
        Consumer<takewright.library.BuildProgress> progress,
        BooleanSupplier cancelled,
        boolean allSounds,
        Consumer<PageSource> served)
        throws IOException;
  }

  private final Site site;
  private final Builder builder;
  private final BuildPages pages;
  private final Builds builds = new Builds();

  public BuildCalls(Site site, BuildPages pages) {
    this(site, pages, ReportedBuild::run);
  }

  public BuildCalls(Site site, BuildPages pages, Builder builder) {
    this.site = site;
    this.pages = pages;
    this.builder = builder;
  }

  /** Starts a build and sends its progress, then its result. */
  public void start(BuildRequest request, StreamObserver<BuildResponse> observer) {
    run(
        observer,
        () -> {
          site.folders().fileToRead("sheet_file", request.getSheetFile());
          site.folders().folderToWrite("output_folder", request.getOutputFolder());
          if (!request.getDecisionsFile().isEmpty()) {
            site.folders().fileToRead("decisions_file", request.getDecisionsFile());
          }
          return builds.start(request);
        },
        progress -> BuildResponse.newBuilder().setProgress(progress).build(),
        result -> BuildResponse.newBuilder().setResult(result).build());
  }

  /** Goes on with a build that was stopped or failed. */
  public void resume(ResumeBuildRequest request, StreamObserver<ResumeBuildResponse> observer) {
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
    UnaryCall.several(
        site.workers(),
        Priority.BATCH,
        observer,
        answers -> build(opening.open(), answers, progressAnswer, resultAnswer));
  }

  private <A> void build(
      Builds.Run run,
      Answers<A> answers,
      Function<BuildProgress, A> progressAnswer,
      Function<BuildResult, A> resultAnswer)
      throws IOException {
    try {
      BuildOrder order = DecisionsFile.of(site.folders(), run.request()).order();
      SheetFiles.check(site.folders(), order.read().sheet());
      ProgressSender<A> filter = new ProgressSender<>(run, answers, progressAnswer);
      takewright.library.BuildResult result =
          builder.run(
              order,
              filter::take,
              () -> {
                site.workers().scheduler().stepAside();
                return run.stopped() || answers.cancelled();
              },
              run.request().getAllSounds(),
              run::source);
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

  /** Lists builds, newest first. */
  public void list(ListBuildsRequest request, StreamObserver<ListBuildsResponse> answers) {
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

  /** Sends the progress of a running build, then its result. */
  public void watch(WatchBuildRequest request, StreamObserver<WatchBuildResponse> observer) {
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

  /** Shows the page of a build. */
  public void openPage(
      OpenBuildPageRequest request, StreamObserver<OpenBuildPageResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () ->
            OpenBuildPageResponse.newBuilder()
                .setUrl(openPage(builds.get(request.getBuildId())))
                .build());
  }

  private String openPage(Builds.Run run) throws IOException {
    return pages.open(run.id(), () -> new LivePage(site, run, builder));
  }

  /** Stops a build. */
  public void cancel(CancelBuildRequest request, StreamObserver<CancelBuildResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () -> {
          Builds.Run run = builds.get(request.getBuildId());
          run.stop();
          return CancelBuildResponse.newBuilder().setBuild(run.info()).build();
        });
  }
}
