package takewright.service.build;

import io.grpc.stub.ServerCallStreamObserver;
import io.grpc.stub.StreamObserver;
import java.io.IOException;
import java.util.List;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.service.call.Answers;
import takewright.service.call.Site;
import takewright.service.call.UnaryCall;
import takewright.service.work.Priority;
import takewright.v1.Build;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.CancelBuildRequest;
import takewright.v1.CancelBuildResponse;
import takewright.v1.GetBuildRequest;
import takewright.v1.GetBuildResponse;
import takewright.v1.ListBuildsRequest;
import takewright.v1.ListBuildsResponse;
import takewright.v1.OpenBuildPageRequest;
import takewright.v1.OpenBuildPageResponse;
import takewright.v1.Rebuilt;
import takewright.v1.ResumeBuildRequest;
import takewright.v1.ResumeBuildResponse;
import takewright.v1.StartBuildRequest;
import takewright.v1.StartBuildResponse;
import takewright.v1.WatchBuildRequest;
import takewright.v1.WatchBuildResponse;

/** The calls that start, follow and stop builds. */
public final class BuildCalls {
  private static final int USUAL_PAGE = 50;
  private static final int LARGEST_PAGE = 500;

  /** A page ends after the build that takes it beyond this; clients refuse 4 MiB. */
  private static final int PAGE_BYTES = 1 << 20;

  private final Site site;
  private final BuildPages pages;
  private final Builds builds;
  private final BuildJobs jobs;

  /**
   * @param builds those of earlier services too
   * @param builder what a build does
   */
  public BuildCalls(Site site, BuildPages pages, Builds builds, BuildJobs.Builder builder) {
    this.site = site;
    this.pages = pages;
    this.builds = builds;
    this.jobs = new BuildJobs(site, builds, builder);
  }

  /** Starts a build. */
  public void start(StartBuildRequest request, StreamObserver<StartBuildResponse> answers) {
    UnaryCall.work(
        site.workers(),
        Priority.SHORT,
        answers,
        () -> StartBuildResponse.newBuilder().setBuild(jobs.start(request).build()).build());
  }

  /** Goes on with a build that was stopped or failed. */
  public void resume(ResumeBuildRequest request, StreamObserver<ResumeBuildResponse> answers) {
    UnaryCall.work(
        site.workers(),
        Priority.SHORT,
        answers,
        () ->
            ResumeBuildResponse.newBuilder()
                .setBuild(jobs.resume(request.getBuildId()).build())
                .build());
  }

  /** Tells the state of a build. */
  public void get(GetBuildRequest request, StreamObserver<GetBuildResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () ->
            GetBuildResponse.newBuilder()
                .setBuild(builds.get(request.getBuildId()).build())
                .build());
  }

  /** Lists builds, newest first. */
  public void list(ListBuildsRequest request, StreamObserver<ListBuildsResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () -> {
          if (request.getPageSize() < 0) {
            throw new ProblemException(
                Problem.outOfRange("page_size", request.getPageSize(), 0, LARGEST_PAGE, ""));
          }
          int size =
              request.getPageSize() == 0
                  ? USUAL_PAGE
                  : Math.min(request.getPageSize(), LARGEST_PAGE);
          // One more than requested, to see whether there are more.
          List<BuildRun> page = builds.page(request.getPageToken(), size + 1);
          ListBuildsResponse.Builder answer = ListBuildsResponse.newBuilder();
          int bytes = 0;
          for (BuildRun run : page) {
            if (answer.getBuildsCount() == size || bytes > PAGE_BYTES) {
              answer.setNextPageToken(page.get(answer.getBuildsCount() - 1).id());
              break;
            }
            Build build = inList(run.build());
            bytes += build.getSerializedSize();
            answer.addBuilds(build);
          }
          return answer.build();
        });
  }

  /** A build without the names of what it changed, which GetBuild tells. */
  private static Build inList(Build build) {
    if (!build.hasResult()) {
      return build;
    }
    Build.Builder brief = build.toBuilder();
    brief.getResultBuilder().getChangesBuilder().clearAdded().clearChanged().clearVanished();
    return brief.build();
  }

  /** Sends the progress of a running build, then its result. */
  public void watch(WatchBuildRequest request, StreamObserver<WatchBuildResponse> observer) {
    ServerCallStreamObserver<WatchBuildResponse> call =
        (ServerCallStreamObserver<WatchBuildResponse>) observer;
    Answers<WatchBuildResponse> answers = new Answers<>(call);
    UnaryCall.guard(
        answers,
        () -> {
          BuildRun run = builds.get(request.getBuildId());
          LivePage page = request.getWithPage() ? open(run).page() : null;
          OnLooker looker = new OnLooker(answers, request.getWithPictures() ? run : null, page);
          call.setOnCancelHandler(
              () -> {
                run.leave(looker);
                if (page != null) {
                  page.leave(looker);
                }
              });
          run.watch(looker);
        });
  }

  /**
   * A watcher of a build. Never waits: later progress replaces what a slow client misses.
   *
   * @param drawn the build whose pictures it waits for; null if it does not
   * @param page the page whose builds it hears of afterwards; null if it does not
   */
  private record OnLooker(Answers<WatchBuildResponse> answers, BuildRun drawn, LivePage page)
      implements BuildRun.Watcher, LivePage.Listener {
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
      } else if (drawn == null) {
        send(result);
      } else {
        drawn.whenDrawn(() -> send(result));
      }
    }

    private void send(BuildResult result) {
      answers.sendOnly(WatchBuildResponse.newBuilder().setResult(result).build());
      if (page == null) {
        answers.end();
      } else {
        UnaryCall.guard(answers, () -> page.listen(this));
      }
    }

    @Override
    public void rebuilt(Rebuilt rebuilt) {
      answers.sendOnly(WatchBuildResponse.newBuilder().setRebuilt(rebuilt).build());
    }

    @Override
    public void closed(ProblemException why) {
      answers.fail(why);
    }
  }

  /** Shows the page of a build. */
  public void openPage(
      OpenBuildPageRequest request, StreamObserver<OpenBuildPageResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () ->
            OpenBuildPageResponse.newBuilder()
                .setUrl(open(builds.get(request.getBuildId())).address())
                .build());
  }

  private BuildPages.OpenPage open(BuildRun run) throws IOException {
    return pages.open(run.id(), () -> jobs.page(run));
  }

  /** Stops a build. */
  public void cancel(CancelBuildRequest request, StreamObserver<CancelBuildResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () -> {
          BuildRun run = builds.get(request.getBuildId());
          run.cancel();
          return CancelBuildResponse.newBuilder().setBuild(run.build()).build();
        });
  }
}
