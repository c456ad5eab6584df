package takewright.service.work;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicInteger;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

class CoreSchedulerTest {
  private static final int CORES = 2;

  private final CoreScheduler scheduler = new CoreScheduler(CORES);
  private final ExecutorService threads = Executors.newCachedThreadPool();
  private final AtomicBoolean isOver = new AtomicBoolean();

  @AfterEach
  void stop() throws InterruptedException {
    isOver.set(true);
    threads.shutdown();
    assertTrue(threads.awaitTermination(30, TimeUnit.SECONDS), "work that never ends");
  }

  /** Work that goes on until the test is over, and is asked for its turn now and then. */
  private void workOn(Priority priority, AtomicInteger pieces) {
    threads.execute(
        () ->
            scheduler.run(
                priority,
                () -> {
                  while (!isOver.get()) {
                    pieces.incrementAndGet();
                    CoreScheduler.offer();
                  }
                }));
  }

  private static void passes(CountDownLatch latch) throws InterruptedException {
    assertTrue(latch.await(30, TimeUnit.SECONDS));
  }

  @Test
  void shortWorkNeverWaitsForTakes() throws Exception {
    AtomicInteger pieces = new AtomicInteger();
    for (int i = 0; i < 8; i++) {
      workOn(Priority.LONG, pieces);
    }
    while (pieces.get() == 0) {
      Thread.onSpinWait();
    }
    CountDownLatch answered = new CountDownLatch(20);
    for (int i = 0; i < 20; i++) {
      threads.execute(() -> scheduler.run(Priority.SHORT, answered::countDown));
    }
    passes(answered);
  }

  @Test
  void takesShareTheirTurnsAndNoneStandsStill() throws Exception {
    AtomicInteger[] pieces = new AtomicInteger[6];
    for (int i = 0; i < pieces.length; i++) {
      pieces[i] = new AtomicInteger();
      workOn(Priority.LONG, pieces[i]);
    }
    // While short work has both cores, too: it is made to pass for long by how long it takes.
    for (int i = 0; i < CORES; i++) {
      threads.execute(
          () ->
              scheduler.run(
                  Priority.SHORT,
                  () -> {
                    while (!isOver.get()) {
                      Thread.onSpinWait();
                    }
                  }));
    }
    for (AtomicInteger of : pieces) {
      int before = of.get();
      while (of.get() <= before + 1) {
        Thread.sleep(1);
      }
    }
  }

  @Test
  void noMoreWorkThanThereAreCores() throws Exception {
    AtomicInteger working = new AtomicInteger();
    AtomicInteger most = new AtomicInteger();
    CountDownLatch done = new CountDownLatch(12);
    for (int i = 0; i < 12; i++) {
      threads.execute(
          () -> {
            scheduler.run(
                Priority.LONG,
                () -> {
                  for (int piece = 0; piece < 50; piece++) {
                    most.accumulateAndGet(working.incrementAndGet(), Math::max);
                    Thread.yield();
                    working.decrementAndGet();
                    CoreScheduler.offer();
                  }
                });
            done.countDown();
          });
    }
    passes(done);
    assertTrue(most.get() <= CORES, most.toString());
  }

  @Test
  void whoWaitsForAClientHasNoTurn() throws Exception {
    CountDownLatch client = new CountDownLatch(1);
    CountDownLatch done = new CountDownLatch(5);
    for (int i = 0; i < 5; i++) {
      threads.execute(
          () ->
              scheduler.run(
                  Priority.SHORT,
                  () -> {
                    CoreScheduler.pause();
                    try {
                      client.await();
                    } catch (InterruptedException e) {
                      Thread.currentThread().interrupt();
                    }
                    CoreScheduler.resume();
                    done.countDown();
                  }));
    }
    CountDownLatch others = new CountDownLatch(5);
    for (int i = 0; i < 5; i++) {
      threads.execute(() -> scheduler.run(Priority.SHORT, others::countDown));
    }
    passes(others);
    assertEquals(5, done.getCount());
    client.countDown();
    passes(done);
  }

  @ParameterizedTest
  @EnumSource(
      value = Priority.class,
      names = {"LONG", "LIVE"})
  void batchWorkStepsAsideButGoesOn(Priority forWhom) throws Exception {
    CountDownLatch block = new CountDownLatch(1);
    CountDownLatch working = new CountDownLatch(CORES);
    List<CountDownLatch> all = new ArrayList<>();
    for (int i = 0; i < CORES; i++) {
      threads.execute(
          () ->
              scheduler.run(
                  forWhom,
                  () -> {
                    working.countDown();
                    try {
                      block.await();
                    } catch (InterruptedException e) {
                      Thread.currentThread().interrupt();
                    }
                  }));
    }
    passes(working);
    for (int i = 0; i < 2 * CORES; i++) {
      CountDownLatch gone = new CountDownLatch(30);
      all.add(gone);
      threads.execute(
          () -> {
            while (gone.getCount() > 0) {
              scheduler.stepAside();
              gone.countDown();
            }
          });
    }
    for (CountDownLatch gone : all) {
      passes(gone);
    }
    block.countDown();
  }

  @Test
  void aPartIsDoneBesideOnlyWhereACoreIsFree() throws Exception {
    CountDownLatch block = new CountDownLatch(1);
    CountDownLatch working = new CountDownLatch(1);
    CountDownLatch waiting = new CountDownLatch(1);
    threads.execute(
        () ->
            scheduler.run(
                Priority.SHORT,
                () -> {
                  working.countDown();
                  try {
                    block.await();
                  } catch (InterruptedException e) {
                    Thread.currentThread().interrupt();
                  }
                }));
    passes(working);
    assertTrue(scheduler.tryTake(), "the other core is free");
    assertFalse(scheduler.tryTake(), "both are taken");
    threads.execute(() -> scheduler.run(Priority.SHORT, waiting::countDown));
    assertFalse(waiting.await(50, TimeUnit.MILLISECONDS), "more work than there are cores");
    scheduler.giveBack();
    passes(waiting);
    block.countDown();
  }
}
