package takewright.service.build;

import com.google.protobuf.Timestamp;
import java.io.IOException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.report.PageSource;
import takewright.v1.Build;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.BuildState;
import takewright.v1.BuildStep;
import takewright.v1.StartBuildRequest;

/** One build of a service: what was asked for, its state, and who watches it. */
public final class BuildRun {
  private static final Logger LOG = LoggerFactory.getLogger(BuildRun.class);

  /** Each watcher costs the build a message from time to time. */
  public static final int MAX_WATCHERS = 64;

  /** How a build that was stopped goes on. */
  static final String GO_ON = "call ResumeBuild, or give the same command again";

  /** A watcher of a build; called by one thread at a time, which must not wait. */
  public interface Watcher {
    /** The build has come this far. */
    void progress(BuildProgress progress);

    /** The build has ended; one of the two is null. */
    void over(BuildResult result, ProblemException failure);
  }

  private final List<Watcher> watchers = new ArrayList<>();

  /** Told once no pictures of its page are being drawn. */
  private final List<Runnable> awaitDrawn = new ArrayList<>();

  private final Consumer<Build> changed;
  private volatile long number;
  private final StartBuildRequest request;
  private Build build;

  /** How it failed; null if it did not, or before this service was started. */
  private ProblemException failure;

  private volatile Stop stop = Stop.NO;

  private volatile boolean isPageOutdated;

  /** Whether pictures of its page are being drawn, or will be at once. */
  private boolean isDrawing;

  private volatile PageSource pageSource;

  private enum Stop {
    NO,
    CANCELLED,
    WITH_SERVICE
  }

  /**
   * @param changed stores the build when its state changes, and before anyone sees that it ended
   */
  BuildRun(long number, Build build, Consumer<Build> changed) {
    this.number = number;
    this.request = build.getRequest();
    this.build = build;
    this.changed = changed;
  }

  long number() {
    return number;
  }

  /** Its place among the builds, in the order in which they were started or resumed. */
  void number(long renewed) {
    number = renewed;
  }

  /** Its id. */
  public String id() {
    return build().getBuildId();
  }

  /** What was asked for. */
  public StartBuildRequest request() {
    return request;
  }

  /** What makes further parts of its page; null before it has one, and for old builds. */
  PageSource pageSource() {
    return pageSource;
  }

  void pageSource(PageSource made) {
    pageSource = made;
  }

  /** What is known about it. */
  public synchronized Build build() {
    return build;
  }

  synchronized boolean isRunning() {
    return build.getState() == BuildState.BUILD_STATE_RUNNING;
  }

  /** Whether it is to stop. */
  public boolean isStopped() {
    return stop != Stop.NO;
  }

  /** Asks it to stop; does nothing if it is not running. */
  public void cancel() {
    if (isRunning()) {
      stop = Stop.CANCELLED;
    }
  }

  /** Whether its page is not to be drawn further: it is made anew, or the service ends. */
  boolean isPageOutdated() {
    return isPageOutdated;
  }

  /** Its page will be made anew. */
  void outdatePage() {
    isPageOutdated = true;
  }

  /** Asks it to stop, as the service ends. */
  void stopWithService() {
    outdatePage();
    if (isRunning()) {
      stop = Stop.WITH_SERVICE;
    }
  }

  /**
   * Starts it again.
   *
   * @throws ProblemException NOT_NOW if it runs, or is done and so is its page
   */
  public void resume() {
    synchronized (this) {
      if (build.getState() == BuildState.BUILD_STATE_RUNNING) {
        throw new ProblemException(
            Reason.NOT_NOW,
            "build_id",
            "is running: " + build.getBuildId(),
            stop == Stop.NO ? "cancel it first" : "wait until it has stopped");
      }
      boolean isDone = build.getState() == BuildState.BUILD_STATE_DONE;
      if (isDone && isDrawing) {
        throw new ProblemException(
            Reason.NOT_NOW,
            "build_id",
            "is done, and its pictures are being drawn: " + build.getBuildId(),
            "wait until `pictures_left` is 0");
      }
      if (isDone && build.getPicturesLeft() == 0) {
        throw new ProblemException(
            Reason.NOT_NOW, "build_id", "is done: " + build.getBuildId(), "start a new build");
      }
      stop = Stop.NO;
      isPageOutdated = false;
      failure = null;
      build =
          Build.newBuilder()
              .setBuildId(build.getBuildId())
              .setRequest(request)
              .setState(BuildState.BUILD_STATE_RUNNING)
              .setStartTime(now())
              .build();
    }
    changed.accept(build());
  }

  /** Records how far it has come, and tells its watchers. */
  public synchronized void progress(BuildProgress progress) {
    double done = Math.max(build.getProgress().getDone(), Math.min(1, progress.getDone()));
    BuildProgress latest = progress.toBuilder().setDone(done).build();
    build = build.toBuilder().setProgress(latest).build();
    watchers.forEach(watcher -> watcher.progress(latest));
  }

  /**
   * Adds a watcher. It is told at once how far the build is, or how it ended.
   *
   * @throws ProblemException OVERLOADED if too many watch already
   */
  public synchronized void watch(Watcher watcher) {
    if (!isRunning()) {
      watcher.over(build.hasResult() ? build.getResult() : null, failure());
      return;
    }
    if (watchers.size() >= MAX_WATCHERS) {
      throw tooMany();
    }
    watchers.add(watcher);
    if (build.hasProgress()) {
      watcher.progress(build.getProgress());
    }
  }

  static ProblemException tooMany() {
    return new ProblemException(
        Reason.OVERLOADED,
        "",
        MAX_WATCHERS + " calls watch this build already",
        "end one of them, or ask for its state with GetBuild");
  }

  private ProblemException failure() {
    if (build.hasResult() || failure != null) {
      return failure;
    }
    // It ended before this service was started, and only the line is known.
    return build.getState() == BuildState.BUILD_STATE_CANCELLED
        ? cancelled()
        : failed(reason(), build.getError());
  }

  /** What failed before this service was started, of which the line is known: "WHAT; REMEDY". */
  private static ProblemException failed(Reason reason, String line) {
    int end = line.lastIndexOf("; ");
    return end < 0
        ? new ProblemException(reason, "", "the build has failed: " + line, GO_ON)
        : new ProblemException(
            reason, "", "the build has failed: " + line.substring(0, end), line.substring(end + 2));
  }

  /** Why it failed; builds of earlier versions do not say. */
  private Reason reason() {
    for (Reason reason : Reason.values()) {
      if (reason.name().equals(build.getErrorReason())) {
        return reason;
      }
    }
    return Reason.NOT_NOW;
  }

  private static ProblemException cancelled() {
    return new ProblemException(
        Reason.CANCELLED,
        "",
        "the build was cancelled; what is finished is kept",
        "to go on, " + GO_ON);
  }

  /** Removes a watcher. */
  public synchronized void leave(Watcher watcher) {
    watchers.remove(watcher);
  }

  /** It has ended successfully. */
  public void done(BuildResult result) {
    PageSource page = pageSource;
    int left = page == null ? 0 : page.left();
    synchronized (this) {
      isDrawing = left > 0;
    }
    end(
        build().toBuilder()
            .setState(BuildState.BUILD_STATE_DONE)
            .setProgress(
                BuildProgress.newBuilder()
                    .setStep(BuildStep.BUILD_STEP_REPORT)
                    .setDone(1)
                    .setSamplesDone(result.getSamples())
                    .setSamplesTotal(result.getSamples()))
            .setPicturesLeft(left)
            .setResult(result),
        null);
  }

  /**
   * Draws what its page lacks.
   *
   * @param stopped whether to leave the rest, asked now and then
   */
  void draw(BooleanSupplier stopped) {
    PageSource page = pageSource;
    if (page == null) {
      return;
    }
    try {
      page.draw(progress -> picturesLeft(page.left(), true), stopped);
    } catch (CancellationException e) {
      // What is missing is drawn when it is looked at, or with the next build.
    } catch (IOException | RuntimeException e) {
      LOG.warn("the page of build {} is not finished: {}", id(), e.toString());
    } finally {
      picturesLeft(page.left(), false);
      changed.accept(build());
    }
  }

  private void picturesLeft(int left, boolean drawing) {
    List<Runnable> told = List.of();
    synchronized (this) {
      isDrawing = drawing;
      if (build.hasResult()) {
        build = build.toBuilder().setPicturesLeft(left).build();
      }
      if (!drawing) {
        told = List.copyOf(awaitDrawn);
        awaitDrawn.clear();
      }
    }
    told.forEach(Runnable::run);
  }

  /**
   * Runs this once no pictures of its page are being drawn: at once, or when they are there or are
   * left to a later build.
   */
  void whenDrawn(Runnable then) {
    synchronized (this) {
      if (isDrawing) {
        awaitDrawn.add(then);
        return;
      }
    }
    then.run();
  }

  /** It has ended with an error, or because it was asked to stop. */
  public void fail(ProblemException why) {
    ProblemException said =
        stop == Stop.WITH_SERVICE
            ? new ProblemException(
                Reason.STOPPING, "", "the service is stopping", "once it runs again, " + GO_ON)
            : why.problem().reason() == Reason.CANCELLED ? cancelled() : why;
    boolean isCancelled = said.problem().reason() == Reason.CANCELLED;
    end(
        build().toBuilder()
            .setState(
                isCancelled ? BuildState.BUILD_STATE_CANCELLED : BuildState.BUILD_STATE_FAILED)
            .setError(isCancelled ? "" : said.getMessage())
            .setErrorReason(isCancelled ? "" : said.problem().reason().name()),
        said);
  }

  private void end(Build.Builder ending, ProblemException why) {
    Build ended = ending.setEndTime(now()).build();
    // What a client is told must outlast a power cut, so nobody sees the end before it is stored.
    changed.accept(ended);
    List<Watcher> told;
    synchronized (this) {
      build = ended;
      failure = why;
      told = List.copyOf(watchers);
      watchers.clear();
    }
    BuildResult result = ended.hasResult() ? ended.getResult() : null;
    for (Watcher watcher : told) {
      try {
        watcher.over(result, why);
      } catch (RuntimeException e) {
        // The others wait for the end as well.
        LOG.error("a watcher of build {} failed at its end", id(), e);
      }
    }
  }

  static Timestamp now() {
    Instant now = Instant.now();
    return Timestamp.newBuilder().setSeconds(now.getEpochSecond()).setNanos(now.getNano()).build();
  }
}
