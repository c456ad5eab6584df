package takewright.service.build;

import java.io.IOException;
import java.nio.file.Path;
import java.security.SecureRandom;
import java.util.ArrayList;
import java.util.List;
import java.util.TreeMap;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.v1.Build;
import takewright.v1.BuildState;
import takewright.v1.StartBuildRequest;

/** The builds that a service has run or is running, the newest {@link #KEPT} of them. */
public final class Builds {
  /** Enough for some months of work; each takes a few hundred bytes. */
  public static final int KEPT = 500;

  /** Digits of ids, none easily mistaken for another (Crockford's base 32). */
  private static final String DIGITS = "0123456789abcdefghjkmnpqrstvwxyz";

  /** Digits of an id, in groups of four: 60 bits, so that no two of a million builds share one. */
  private static final int ID_DIGITS = 12;

  private static final SecureRandom RANDOM = new SecureRandom();

  private final TreeMap<Long, BuildRun> runs = new TreeMap<>();
  private final BuildRecords records;

  /** Builds whose pages can be asked for further pictures and sounds; each holds some megabytes. */
  private static final int SOURCES_KEPT = 8;

  private long last;

  /**
   * The builds of earlier services that kept theirs in this folder, and those to come.
   *
   * @param folder where they are kept for a service that is started later; null: nowhere
   */
  public Builds(Path folder) throws IOException {
    records = new BuildRecords(folder);
    for (Build build : records.read()) {
      runs.put(++last, new BuildRun(last, ended(build), records::keep));
    }
  }

  /** A build of an earlier service, which cannot run any more. */
  private static Build ended(Build build) {
    if (build.getState() != BuildState.BUILD_STATE_RUNNING
        && !build.getErrorReason().equals(Reason.STOPPING.name())) {
      return build;
    }
    return build.toBuilder()
        .setState(BuildState.BUILD_STATE_FAILED)
        .setError("it was cut off by the end of its service; " + BuildRun.GO_ON)
        .setErrorReason(Reason.INTERRUPTED.name())
        .build();
  }

  private static String newId() {
    StringBuilder id = new StringBuilder("build");
    for (int i = 0; i < ID_DIGITS; i++) {
      id.append(i % 4 == 0 ? "-" : "").append(DIGITS.charAt(RANDOM.nextInt(DIGITS.length())));
    }
    return id.toString();
  }

  /** Registers a new, running build. */
  public synchronized BuildRun start(StartBuildRequest request) {
    Build build =
        Build.newBuilder()
            .setBuildId(newId())
            .setRequest(request)
            .setState(BuildState.BUILD_STATE_RUNNING)
            .setStartTime(BuildRun.now())
            .build();
    BuildRun run = new BuildRun(++last, build, records::keep);
    runs.headMap(last - SOURCES_KEPT).values().forEach(old -> old.pageSource(null));
    runs.put(run.number(), run);
    records.keep(build);
    if (runs.size() > KEPT) {
      // Running builds stay, however old.
      runs.values().stream().filter(old -> !old.isRunning()).findFirst().ifPresent(this::forget);
    }
    return run;
  }

  /** Makes a build that goes on the newest, as its new start time says. */
  synchronized void renew(BuildRun run) {
    runs.remove(run.number());
    run.number(++last);
    runs.put(last, run);
  }

  private void forget(BuildRun run) {
    runs.remove(run.number());
    records.forget(run.build());
  }

  /** Whether a later build writes to the same folder. */
  synchronized boolean hasSuccessor(BuildRun run) {
    return runs.tailMap(run.number(), false).values().stream()
        .anyMatch(
            later -> later.request().getOutputFolder().equals(run.request().getOutputFolder()));
  }

  /**
   * The build with this id; case does not matter.
   *
   * @throws ProblemException NOT_THERE if there is none, INPUT_INVALID if the id is empty
   */
  public BuildRun get(String id) {
    if (id.isEmpty()) {
      throw ProblemException.invalid(
          "build_id", "is empty", "give the id that StartBuild answered with");
    }
    BuildRun run = find(id);
    if (run == null) {
      throw new ProblemException(
          Reason.NOT_THERE,
          "build_id",
          "is not known to this server: \"" + id + "\"",
          "give an id that StartBuild answered with, or one of ListBuilds");
    }
    return run;
  }

  private synchronized BuildRun find(String id) {
    return runs.values().stream()
        .filter(run -> run.id().equalsIgnoreCase(id))
        .findFirst()
        .orElse(null);
  }

  /**
   * Up to {@code count} builds older than the one that the token names, newest first.
   *
   * @param token id of a build; empty: from the newest on
   * @throws ProblemException INPUT_INVALID if there is no such build
   */
  public List<BuildRun> page(String token, int count) {
    long before = Long.MAX_VALUE;
    if (!token.isEmpty()) {
      BuildRun lastSeen = find(token);
      if (lastSeen == null) {
        throw ProblemException.invalid(
            "page_token",
            "is not from this server, or of a build that it has forgotten",
            "send `next_page_token` of the call before, or nothing to begin with the newest");
      }
      before = lastSeen.number();
    }
    synchronized (this) {
      List<BuildRun> page = new ArrayList<>();
      for (BuildRun run : runs.headMap(before, false).descendingMap().values()) {
        if (page.size() == count) {
          break;
        }
        page.add(run);
      }
      return page;
    }
  }

  /** Asks all running builds to stop, as the service ends. */
  public synchronized void stopWithService() {
    runs.values().forEach(BuildRun::stopWithService);
  }
}
