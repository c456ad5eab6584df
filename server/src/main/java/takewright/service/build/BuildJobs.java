package takewright.service.build;

import java.io.IOException;
import java.util.List;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.library.BuildOrder;
import takewright.library.BuildProgress;
import takewright.report.PageSource;
import takewright.service.call.Site;
import takewright.service.wire.Failures;
import takewright.service.work.Priority;
import takewright.sheet.SheetException;
import takewright.v1.BuildChanges;
import takewright.v1.BuildResult;
import takewright.v1.BuildStep;
import takewright.v1.StartBuildRequest;

/** Runs builds on the workers; they go on without the call that started them. */
public final class BuildJobs {
  private static final Logger LOG = LoggerFactory.getLogger(BuildJobs.class);

  /**
   * Progress is recorded each time this share of the work is done: at most about five hundred
   * messages per build.
   */
  private static final double PROGRESS_STEP = 0.002;

  /** Names of each kind, and warnings, that an answer holds; a message has a largest size. */
  private static final int MAX_NAMES = 4000;

  private static final int MAX_WARNINGS = 1000;

  /** Runs a build. */
  public interface Builder {
    /**
     * Builds a library and its page; its pictures may be left to be drawn afterwards.
     *
     * @param order what to build
     * @param progress told where it is
     * @param cancelled asked now and then
     * @param allSounds whether the page keeps the sounds of all samples
     * @param served told what makes further parts of the page
     */
    takewright.library.BuildResult run(
        BuildOrder order,
        Consumer<BuildProgress> progress,
        BooleanSupplier cancelled,
        boolean allSounds,
        Consumer<PageSource> served)
        throws IOException;
  }

  private final Site site;
  private final Builds builds;
  private final Builder builder;

  public BuildJobs(Site site, Builds builds, Builder builder) {
    this.site = site;
    this.builds = builds;
    this.builder = builder;
  }

  /** Starts a build. */
  public BuildRun start(StartBuildRequest request) throws IOException {
    requireOwnFolder(DecisionsFile.of(site.folders(), request).order());
    part(request);
    BuildRun run = builds.start(request);
    work(run);
    return run;
  }

  /** What else is wrong with the sheet or its takes is how the build ends. */
  private static void requireOwnFolder(BuildOrder order) {
    try {
      order.requireOwnFolder();
    } catch (IOException | ProblemException e) {
      if (e instanceof FileProblemException takes && !(e instanceof SheetException)) {
        throw new ProblemException(takes.problem().of("output_folder"), e);
      }
      LOG.debug("the build will fail: {}", e.toString());
    }
  }

  /** Continues a build that has ended without its result, or whose page is not finished. */
  public BuildRun resume(String id) {
    BuildRun run = builds.get(id);
    if (run.build().hasResult() && builds.hasSuccessor(run)) {
      throw new ProblemException(
          Reason.NOT_NOW,
          "build_id",
          "is done, and a later build has taken its folder: " + run.id(),
          "start a new build");
    }
    run.resume();
    builds.renew(run);
    work(run);
    return run;
  }

  private void work(BuildRun run) {
    try {
      site.workers().run(Priority.BATCH, () -> build(run));
    } catch (RuntimeException e) {
      ProblemException refused = new ProblemException(Failures.of(e), e);
      run.fail(refused);
      throw refused;
    }
  }

  private void build(BuildRun run) {
    try {
      StartBuildRequest request = run.request();
      BuildOrder order =
          DecisionsFile.of(site.folders(), request)
              .order()
              .only(request.getOnly())
              .part(part(request));
      order.read(); // what is wrong with the sheet comes before anything else
      run.done(
          wire(
              builder.run(
                  order,
                  new ProgressFilter(run)::take,
                  () -> {
                    site.workers().scheduler().stepAside();
                    return run.isStopped();
                  },
                  run.request().getAllSounds(),
                  run::pageSource)));
    } catch (Throwable e) {
      run.fail(new ProblemException(Failures.of(e), e));
      return;
    }
    // Unless a later build draws it anew.
    run.draw(
        () -> {
          site.workers().scheduler().stepAside();
          return run.isPageOutdated() || builds.hasSuccessor(run);
        });
  }

  /** The part that a request asks for; null for the whole build. */
  private static takewright.library.BuildPart part(StartBuildRequest request) {
    return request.hasPart()
        ? new takewright.library.BuildPart(
            request.getPart().getNumber(), request.getPart().getCount())
        : null;
  }

  /** The page of a build, to be served. */
  LivePage page(BuildRun run) {
    return new LivePage(site, run, builder, () -> builds.hasSuccessor(run));
  }

  /** The result of a build as a message. */
  static BuildResult wire(takewright.library.BuildResult result) {
    return BuildResult.newBuilder()
        .setSamples(result.samples())
        .setMissing(result.missing())
        .setLeftOut(result.leftOut())
        .setFlagged(result.flagged())
        .setIndexFile(result.indexFile().toAbsolutePath().toString())
        .setSamplesReused(result.samplesReused())
        .addAllWarnings(result.warnings().stream().limit(MAX_WARNINGS).map(Problem::text).toList())
        .setWarningsTotal(result.warnings().size())
        .setChanges(
            BuildChanges.newBuilder()
                .setIsFirst(result.changes().isFirst())
                .addAllAdded(first(result.changes().added()))
                .addAllChanged(first(result.changes().changed()))
                .addAllVanished(first(result.changes().vanished()))
                .setSamplesAdded(result.changes().added().size())
                .setSamplesChanged(result.changes().changed().size())
                .setSamplesVanished(result.changes().vanished().size()))
        .build();
  }

  private static List<String> first(List<String> names) {
    return names.subList(0, Math.min(MAX_NAMES, names.size()));
  }

  /** Passes on what is news: a new step or take, or a further share of the work. */
  private static final class ProgressFilter {
    private final BuildRun run;
    private BuildProgress told;

    ProgressFilter(BuildRun run) {
      this.run = run;
    }

    /** Called from any thread of the build, one at a time. */
    synchronized void take(BuildProgress progress) {
      boolean isNews =
          told == null
              || told.step() != progress.step()
              || !told.take().equals(progress.take())
              || progress.done() - told.done() >= PROGRESS_STEP;
      if (isNews) {
        told = progress;
        run.progress(
            takewright.v1.BuildProgress.newBuilder()
                .setStep(wire(progress.step()))
                .setTake(progress.take())
                .setDone(progress.done())
                .setSamplesDone(progress.samplesDone())
                .setSamplesTotal(progress.samplesTotal())
                .setFolderId(progress.folderId())
                .build());
      }
    }
  }

  private static BuildStep wire(takewright.library.BuildStep step) {
    return switch (step) {
      case SEGMENT -> BuildStep.BUILD_STEP_SEGMENT;
      case MATCH -> BuildStep.BUILD_STEP_MATCH;
      case WRITE -> BuildStep.BUILD_STEP_WRITE;
      case REPORT -> BuildStep.BUILD_STEP_REPORT;
    };
  }
}
