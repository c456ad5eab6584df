package takewright.service.build;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.atomic.AtomicReference;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.v1.Build;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.BuildState;
import takewright.v1.StartBuildRequest;

final class BuildsTest {
  @TempDir Path folder;

  @Test
  void onlyTheNewestBuildsAreKept() throws IOException {
    Builds builds = new Builds(folder);
    BuildRun oldest = builds.start(StartBuildRequest.getDefaultInstance());
    for (int i = 0; i < Builds.KEPT + 10; i++) {
      builds.start(StartBuildRequest.getDefaultInstance()).done(BuildResult.getDefaultInstance());
    }
    List<BuildRun> all = builds.page("", 1000);
    assertEquals(Builds.KEPT, all.size());
    assertEquals(oldest, all.get(all.size() - 1), "one that runs stays");
    try (Stream<Path> kept = Files.list(folder)) {
      assertEquals(Builds.KEPT, kept.count(), "the records too");
    }
  }

  /** A service that is killed while it writes the record must not have told of the end before. */
  @Test
  void nobodyIsToldOfAnEndBeforeItIsKept() {
    Build running = Build.newBuilder().setState(BuildState.BUILD_STATE_RUNNING).build();
    AtomicReference<BuildRun> run = new AtomicReference<>();
    List<BuildState> told = new ArrayList<>();
    List<BuildState> kept = new ArrayList<>();
    BuildRun.Watcher watcher =
        new BuildRun.Watcher() {
          @Override
          public void progress(BuildProgress progress) {}

          @Override
          public void over(BuildResult result, ProblemException failure) {
            told.add(BuildState.BUILD_STATE_DONE);
          }
        };
    run.set(
        new BuildRun(
            1,
            running,
            build -> {
              run.get().watch(watcher);
              assertEquals(List.of(), told, "a watch that begins while the record is written");
              assertEquals(BuildState.BUILD_STATE_RUNNING, run.get().build().getState());
              kept.add(build.getState());
            }));
    run.get().done(BuildResult.getDefaultInstance());
    assertEquals(List.of(BuildState.BUILD_STATE_DONE), kept);
    assertEquals(kept, told);
  }

  /** The request to cancel comes too late to be noticed. */
  @Test
  void aBuildThatEndsBeforeItIsStoppedIsDoneOrFailed() throws IOException {
    Builds builds = new Builds(folder);
    BuildRun done = builds.start(StartBuildRequest.getDefaultInstance());
    done.cancel();
    done.done(BuildResult.newBuilder().setSamples(3).build());
    assertEquals(BuildState.BUILD_STATE_DONE, done.build().getState());
    BuildRun failed = builds.start(StartBuildRequest.getDefaultInstance());
    failed.cancel();
    failed.fail(new ProblemException(Reason.DISK_FULL, "", "the disk is full", "free some space"));
    for (int i = 0; i < 2; i++) {
      assertEquals(BuildState.BUILD_STATE_FAILED, failed.build().getState());
      assertEquals("DISK_FULL", failed.build().getErrorReason());
      failed.cancel();
    }
    failed.resume();
    assertFalse(failed.isStopped(), "what was asked of it before counts no more");
  }
}
