package takewright.service.build;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.ProblemException;
import takewright.library.folder.Changes;
import takewright.service.access.GrantedFolders;
import takewright.service.call.Site;
import takewright.service.work.Priority;
import takewright.service.work.Workers;
import takewright.v1.BuildProgress;
import takewright.v1.BuildResult;
import takewright.v1.Rebuilt;
import takewright.v1.StartBuildRequest;

/** When a page that is served builds again, with builds that do nothing. */
class LivePageWorkTest {
  private static final byte[] DECISIONS = "takes: []\n".getBytes(StandardCharsets.UTF_8);

  @TempDir Path root;
  private final Workers workers = new Workers(2);
  private final Semaphore built = new Semaphore(0);
  private final Semaphore rebuilt = new Semaphore(0);
  private final List<Rebuilt> heard = new ArrayList<>();
  private BuildRun run;
  private LivePage page;

  @BeforeEach
  void open() throws IOException {
    root = root.toRealPath();
    Path sheet =
        Files.writeString(
            root.resolve("sheet.yaml"),
            "library: L\ntakes: [{file: a.wav, articulation: tap, kind: unpitched}]\n");
    run =
        new Builds(null)
            .start(
                StartBuildRequest.newBuilder()
                    .setSheetFile(sheet.toString())
                    .setOutputFolder(root.resolve("library").toString())
                    .build());
    Files.createDirectory(root.resolve("library"));
    page =
        new LivePage(
            new Site(GrantedFolders.of(List.of(root)), workers),
            run,
            (order, progress, cancelled, allSounds, served) -> {
              built.release();
              return new takewright.library.BuildResult(
                  0, 0, 0, 0, root.resolve("library/index.csv"), 0, Changes.NONE, List.of());
            },
            () -> false);
    page.listen(
        new LivePage.Listener() {
          @Override
          public void rebuilt(Rebuilt one) {
            heard.add(one);
            rebuilt.release();
          }

          @Override
          public void closed(ProblemException why) {}
        });
  }

  @AfterEach
  void close() {
    page.close();
    workers.close();
  }

  /** Somebody who waits for the end of the build. */
  private static final class Waiting implements BuildRun.Watcher {
    private final CountDownLatch over = new CountDownLatch(1);

    @Override
    public void progress(BuildProgress progress) {}

    @Override
    public void over(BuildResult result, ProblemException failure) {
      over.countDown();
    }
  }

  private static void assertSoon(boolean holds) {
    assertTrue(holds, "waited in vain");
  }

  /**
   * As many as a person makes while a long build runs; other watchers find a place all the same.
   */
  @Test
  void manyDecisionsDuringABuildAreOneWatcherAndOneBuild() throws Exception {
    for (int i = 0; i < 2 * BuildRun.MAX_WATCHERS; i++) {
      page.decide(DECISIONS);
    }
    Waiting other = new Waiting();
    run.watch(other);
    run.done(BuildResult.getDefaultInstance());
    assertEquals(0, other.over.getCount());
    assertSoon(rebuilt.tryAcquire(60, TimeUnit.SECONDS));
    assertEquals(0, rebuilt.availablePermits());
    assertEquals(1, built.availablePermits());
    page.decide(DECISIONS);
    assertSoon(rebuilt.tryAcquire(60, TimeUnit.SECONDS));
    assertEquals(2, built.availablePermits());
  }

  /** The decisions are saved, those who look are told, and the next decision builds. */
  @Test
  void whereNoPlaceIsFreeNobodyWaitsInVain() throws Exception {
    CountDownLatch end = new CountDownLatch(1);
    for (int i = 0; i < Workers.BATCH; i++) {
      workers.run(Priority.BATCH, () -> await(end));
    }
    page.decide(DECISIONS);
    Waiting other = new Waiting();
    run.watch(other);
    run.done(BuildResult.getDefaultInstance());
    assertEquals(0, other.over.getCount(), "the end reaches whoever else waits for it");
    assertTrue(run.build().hasResult(), "the build itself is done");
    assertSoon(rebuilt.tryAcquire());
    assertEquals(
        "4 builds or audits are running already; try again when some of them have finished",
        heard.get(0).getError());
    assertTrue(Files.exists(root.resolve("library/decisions.yaml")));

    end.countDown();
    for (long until = System.nanoTime() + TimeUnit.SECONDS.toNanos(60); ; ) {
      // The places are given back a moment after the work has ended.
      page.decide(DECISIONS);
      assertSoon(rebuilt.tryAcquire(60, TimeUnit.SECONDS));
      if (built.availablePermits() > 0) {
        break;
      }
      assertTrue(System.nanoTime() < until, "waited in vain");
    }
  }

  private static void await(CountDownLatch latch) {
    try {
      latch.await();
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  @Test
  void aWatcherThatFailsKeepsNoOtherFromTheEnd() {
    run.watch(
        new BuildRun.Watcher() {
          @Override
          public void progress(BuildProgress progress) {}

          @Override
          public void over(BuildResult result, ProblemException failure) {
            throw new IllegalStateException("planted");
          }
        });
    Waiting other = new Waiting();
    run.watch(other);
    run.done(BuildResult.getDefaultInstance());
    assertEquals(0, other.over.getCount());
  }
}
