package takewright.service;

import com.google.protobuf.Timestamp;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.TreeMap;
import takewright.v1.BuildInfo;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.BuildState;

/** The builds that a server has run or is running, the newest {@link #KEPT} of them. */
final class Builds {
  /** Some months of work; each takes a few hundred bytes. */
  static final int KEPT = 500;

  private final TreeMap<Long, Run> runs = new TreeMap<>();
  private long last;

  /** Notes a new build, which runs. */
  synchronized Run start(String sheetFile, String outputFolder, boolean allSounds) {
    Run run = new Run(++last, sheetFile, outputFolder, allSounds);
    runs.put(run.number, run);
    if (runs.size() > KEPT) {
      Collection<Run> all = runs.values();
      // Those that run stay, however old.
      all.stream().filter(old -> !old.running()).findFirst().ifPresent(all::remove);
    }
    return run;
  }

  /** The build of this id. */
  synchronized Run get(String id) {
    for (Run run : runs.values()) {
      if (run.id().equals(id)) {
        return run;
      }
    }
    throw Refusal.notFound("`build_id`: this server knows no build \"" + id + "\"");
  }

  /** Up to {@code count} builds older than number {@code before}, newest first. */
  synchronized List<Run> before(long before, int count) {
    List<Run> page = new ArrayList<>();
    for (Run run : runs.headMap(before, false).descendingMap().values()) {
      if (page.size() == count) {
        break;
      }
      page.add(run);
    }
    return page;
  }

  /** Who looks on at a build; called by one thread at a time, which must not wait. */
  interface Watcher {
    void progress(BuildProgress progress);

    /** The build is over: one of the two is null. */
    void over(BuildResult result, StatusRuntimeException failure);
  }

  /** One build. */
  static final class Run {
    /** Each watcher costs the build a message now and then. */
    private static final int MOST_WATCHERS = 64;

    private final List<Watcher> watchers = new ArrayList<>();
    private BuildProgress latest;
    private BuildResult result;
    private StatusRuntimeException failure;

    private final long number;
    private final String sheetFile;
    private final String outputFolder;
    private final boolean allSounds;
    private Instant startTime = Instant.now();
    private BuildState state = BuildState.BUILD_STATE_RUNNING;
    private double done;
    private String error = "";
    private volatile boolean stop;

    private Run(long number, String sheetFile, String outputFolder, boolean allSounds) {
      this.number = number;
      this.sheetFile = sheetFile;
      this.outputFolder = outputFolder;
      this.allSounds = allSounds;
    }

    String id() {
      return "build-" + number;
    }

    long number() {
      return number;
    }

    String sheetFile() {
      return sheetFile;
    }

    String outputFolder() {
      return outputFolder;
    }

    /** Whether its page keeps the sounds of all samples. */
    boolean allSounds() {
      return allSounds;
    }

    synchronized boolean running() {
      return state == BuildState.BUILD_STATE_RUNNING;
    }

    /** Whether someone wants it stopped. */
    boolean stopped() {
      return stop;
    }

    /** Asks it to stop; does nothing where it does not run. */
    void stop() {
      if (running()) {
        stop = true;
      }
    }

    /** Has it run once more. */
    synchronized void resume() {
      if (state == BuildState.BUILD_STATE_RUNNING) {
        throw Refusal.precondition("`build_id`: " + id() + " is running: cancel it first");
      }
      if (state == BuildState.BUILD_STATE_DONE) {
        throw Refusal.precondition("`build_id`: " + id() + " is done: start a new build instead");
      }
      state = BuildState.BUILD_STATE_RUNNING;
      startTime = Instant.now();
      done = 0;
      error = "";
      stop = false;
      latest = null;
      failure = null;
    }

    /** Notes how far it is, and answers the furthest it has been. */
    synchronized double progress(double share) {
      done = Math.max(done, Math.min(1, share));
      return done;
    }

    /** Tells those who look on how far it is. */
    synchronized void tell(BuildProgress progress) {
      latest = progress;
      watchers.forEach(watcher -> watcher.progress(progress));
    }

    /** Has someone look on. */
    synchronized void watch(Watcher watcher) {
      if (!running()) {
        watcher.over(result, failure);
        return;
      }
      if (watchers.size() >= MOST_WATCHERS) {
        throw Refusal.exhausted(MOST_WATCHERS + " calls look on at this build already: end one");
      }
      watchers.add(watcher);
      if (latest != null) {
        watcher.progress(latest);
      }
    }

    synchronized void leave(Watcher watcher) {
      watchers.remove(watcher);
    }

    synchronized void done(BuildResult what) {
      state = BuildState.BUILD_STATE_DONE;
      done = 1;
      result = what;
      over();
    }

    synchronized void fail(StatusRuntimeException why) {
      boolean isCancelled = why.getStatus().getCode() == Status.Code.CANCELLED;
      state = isCancelled ? BuildState.BUILD_STATE_CANCELLED : BuildState.BUILD_STATE_FAILED;
      error = isCancelled ? "" : String.valueOf(why.getStatus().getDescription());
      failure = why;
      over();
    }

    private void over() {
      watchers.forEach(watcher -> watcher.over(result, failure));
      watchers.clear();
    }

    synchronized BuildInfo info() {
      return BuildInfo.newBuilder()
          .setBuildId(id())
          .setSheetFile(sheetFile)
          .setOutputFolder(outputFolder)
          .setState(state)
          .setDone(done)
          .setStartTime(
              Timestamp.newBuilder()
                  .setSeconds(startTime.getEpochSecond())
                  .setNanos(startTime.getNano()))
          .setError(error)
          .build();
    }
  }
}
