package takewright.library;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.Future;
import java.util.concurrent.LinkedBlockingQueue;
import org.junit.jupiter.api.Test;

class BackgroundTest {
  @Test
  void whatIsToComeFirstComesBeforeAllThatWaits() throws IOException, InterruptedException {
    int cores = Runtime.getRuntime().availableProcessors();
    CountDownLatch busy = new CountDownLatch(cores);
    CountDownLatch one = new CountDownLatch(1);
    CountDownLatch others = new CountDownLatch(1);
    List<String> done = Collections.synchronizedList(new ArrayList<>());
    try (Background background = new Background(() -> false)) {
      for (int core = 0; core < cores; core++) {
        CountDownLatch until = core == 0 ? one : others;
        background.submit(
            () -> {
              busy.countDown();
              until.await();
              return null;
            });
      }
      busy.await();
      Future<Boolean> waits = background.submit(() -> done.add("waits"));
      Future<Boolean> first = background.submitFirst(() -> done.add("first"));
      // One core does both, one after the other.
      one.countDown();
      background.result(first);
      background.result(waits);
      others.countDown();
    }
    assertEquals(List.of("first", "waits"), done);
  }

  @Test
  void waitingForWhatIsNextEndsWhenTheBuildIsCancelled() {
    try (Background background = new Background(() -> true)) {
      assertThrows(
          CancellationException.class, () -> background.next(new LinkedBlockingQueue<String>()));
    }
  }
}
