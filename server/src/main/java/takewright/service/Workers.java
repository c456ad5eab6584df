package takewright.service;

import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;

/**
 * The threads that do the work of calls, so that the threads of the network never wait. Calls
 * beyond the threads wait their turn; calls beyond the queue are refused with {@link
 * java.util.concurrent.RejectedExecutionException}.
 */
final class Workers implements AutoCloseable {
  /**
   * More than the cores, since calls wait for audio from their clients as often as they compute.
   */
  private static final int THREADS = 32;

  /** A waiting call holds its settings alone; its audio is not asked for before it has a thread. */
  private static final int QUEUE = 1024;

  /** Time that work gets to clean up behind itself once its call has been stopped. */
  private static final int CLEAN_UP_S = 3;

  private final ThreadPoolExecutor pool;

  Workers() {
    this(THREADS, QUEUE);
  }

  Workers(int threads, int queue) {
    AtomicInteger count = new AtomicInteger();
    pool =
        new ThreadPoolExecutor(
            threads,
            threads,
            30,
            TimeUnit.SECONDS,
            new ArrayBlockingQueue<>(queue),
            task -> {
              Thread thread = new Thread(task, "takewright-worker-" + count.incrementAndGet());
              thread.setDaemon(true);
              return thread;
            });
    pool.allowCoreThreadTimeOut(true);
  }

  void run(Runnable work) {
    pool.execute(work);
  }

  /** Takes no more work, and waits a little for what runs to end. */
  @Override
  public void close() {
    pool.shutdown();
    try {
      pool.awaitTermination(CLEAN_UP_S, TimeUnit.SECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }
}
