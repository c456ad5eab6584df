package takewright.service.build;

import com.google.protobuf.Timestamp;
import java.security.SecureRandom;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.TreeMap;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.report.PageSource;
import takewright.v1.BuildInfo;
import takewright.v1.BuildProgress;
import takewright.v1.BuildRequest;
import takewright.v1.BuildResult;
import takewright.v1.BuildState;

/** The builds that a server has run or is running, the newest {@link #KEPT} of them. */
public final class Builds {
  /** Enough for some months of work; each takes a few hundred bytes. */
  static final int KEPT = 500;

  /** Builds whose pages can be asked for further pictures and sounds; each holds some megabytes. */
  private static final int SOURCES_KEPT = 8;

  /** Digits of ids, none easily mistaken for another (Crockford's base 32). */
  private static final String DIGITS = "0123456789abcdefghjkmnpqrstvwxyz";

  /** Digits of an id, in groups of four: 60 bits, so that no two of a million builds share one. */
  private static final int ID_DIGITS = 12;

  private static final SecureRandom RANDOM = new SecureRandom();

  private final TreeMap<Long, Run> runs = new TreeMap<>();

  /** Distinguishes this server's page tokens from those of other servers and earlier starts. */
  private final String origin = digits(8);

  private long last;

  private static String digits(int count) {
    StringBuilder digits = new StringBuilder();
    for (int i = 0; i < count; i++) {
      digits.append(i > 0 && i % 4 == 0 ? "-" : "");
      digits.append(DIGITS.charAt(RANDOM.nextInt(DIGITS.length())));
    }
    return digits.toString();
  }

  /** Registers a new, running build. */
  synchronized Run start(BuildRequest request) {
    runs.values().stream()
        .limit(Math.max(0, runs.size() - SOURCES_KEPT))
        .forEach(Run::forgetSource);
    Run run = new Run(++last, request);
    runs.put(run.number, run);
    if (runs.size() > KEPT) {
      Collection<Run> all = runs.values();
      // Running builds stay, however old.
      all.stream().filter(old -> !old.running()).findFirst().ifPresent(all::remove);
    }
    return run;
  }

  /** The build with this id; case does not matter. */
  synchronized Run get(String id) {
    for (Run run : runs.values()) {
      if (run.id().equalsIgnoreCase(id)) {
        return run;
      }
    }
    throw new ProblemException(
        Reason.NOT_THERE,
        "build_id",
        "is not known to this server: \"" + id + "\"",
        "see ListBuilds, or ask the other servers");
  }

  /** The token of the page that follows this build. */
  String pageToken(Run lastOfPage) {
    return origin + "." + lastOfPage.number;
  }

  /** Up to {@code count} builds from the page of a token on, newest first. */
  synchronized List<Run> page(String token, int count) {
    long before = token.isEmpty() ? Long.MAX_VALUE : number(token);
    List<Run> page = new ArrayList<>();
    for (Run run : runs.headMap(before, false).descendingMap().values()) {
      if (page.size() == count) {
        break;
      }
      page.add(run);
    }
    return page;
  }

  private long number(String token) {
    if (token.startsWith(origin + ".")) {
      try {
        return Long.parseLong(token.substring(origin.length() + 1));
      } catch (NumberFormatException e) {
        // said below
      }
    }
    throw ProblemException.invalid(
        "page_token",
        "is not from this server, or from before its last start",
        "send `next_page_token` of the call before, or nothing to begin with the newest");
  }

  /** A watcher of a build; called by one thread at a time, which must not wait. */
  interface Watcher {
    void progress(BuildProgress progress);

    /** The build has ended; one of the two is null. */
    void over(BuildResult result, ProblemException failure);
  }

  /** One build. */
  static final class Run {
    /** Each watcher costs the build a message from time to time. */
    private static final int MAX_WATCHERS = 64;

    private final List<Watcher> watchers = new ArrayList<>();
    private BuildProgress latest;
    private BuildResult result;
    private ProblemException failure;

    private final long number;
    private final String id = "build-" + digits(ID_DIGITS);
    private final BuildRequest request;
    private Instant startTime = Instant.now();
    private BuildState state = BuildState.BUILD_STATE_RUNNING;
    private double done;
    private String error = "";
    private volatile boolean stop;

    private volatile PageSource source;

    private Run(long number, BuildRequest request) {
      this.number = number;
      this.request = request;
    }

    /** What is built. */
    BuildRequest request() {
      return request;
    }

    /** What makes further parts of its page; null before it is built, and for old builds. */
    PageSource source() {
      return source;
    }

    void source(PageSource made) {
      source = made;
    }

    private void forgetSource() {
      source = null;
    }

    String id() {
      return id;
    }

    synchronized boolean running() {
      return state == BuildState.BUILD_STATE_RUNNING;
    }

    /** Whether someone asked it to stop. */
    boolean stopped() {
      return stop;
    }

    /** Asks it to stop; does nothing if it is not running. */
    void stop() {
      if (running()) {
        stop = true;
      }
    }

    /** Starts it again. */
    synchronized void resume() {
      if (state == BuildState.BUILD_STATE_RUNNING) {
        throw new ProblemException(
            Reason.NOT_NOW, "build_id", "is running: " + id(), "cancel it first");
      }
      if (state == BuildState.BUILD_STATE_DONE) {
        throw new ProblemException(
            Reason.NOT_NOW, "build_id", "is done: " + id(), "start a new build instead");
      }
      state = BuildState.BUILD_STATE_RUNNING;
      startTime = Instant.now();
      done = 0;
      error = "";
      stop = false;
      latest = null;
      failure = null;
    }

    /** Records its progress, and returns the furthest that it has been. */
    synchronized double progress(double share) {
      done = Math.max(done, Math.min(1, share));
      return done;
    }

    /** Sends its progress to the watchers. */
    synchronized void tell(BuildProgress progress) {
      latest = progress;
      watchers.forEach(watcher -> watcher.progress(progress));
    }

    /** Adds a watcher. */
    synchronized void watch(Watcher watcher) {
      if (!running()) {
        watcher.over(result, failure);
        return;
      }
      if (watchers.size() >= MAX_WATCHERS) {
        throw new ProblemException(
            Reason.OVERLOADED,
            "",
            MAX_WATCHERS + " calls watch this build already",
            "end one of them");
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

    synchronized void fail(ProblemException why) {
      boolean isCancelled = why.problem().reason() == Reason.CANCELLED;
      state = isCancelled ? BuildState.BUILD_STATE_CANCELLED : BuildState.BUILD_STATE_FAILED;
      error = isCancelled ? "" : why.getMessage();
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
          .setSheetFile(request.getSheetFile())
          .setOutputFolder(request.getOutputFolder())
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
