package takewright.library;

import java.io.Closeable;
import java.io.IOException;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.concurrent.BlockingDeque;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.Callable;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.Future;
import java.util.concurrent.FutureTask;
import java.util.concurrent.LinkedBlockingDeque;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.function.BooleanSupplier;

/**
 * Runs work on all cores, first come, first served. Once closed, none of its threads writes to the
 * output folder.
 */
public final class Background implements Closeable {
  private final BlockingDeque<Runnable> waiting = new LinkedBlockingDeque<>();
  private final ThreadPoolExecutor workers;
  private final BooleanSupplier asked;

  /** Set when the build ends for any reason, so that running work stops. */
  private volatile boolean stopping;

  /**
   * @param cancelled asked now and then whether the work is to stop
   */
  public Background(BooleanSupplier cancelled) {
    int cores = Runtime.getRuntime().availableProcessors();
    workers = new ThreadPoolExecutor(cores, cores, 0, TimeUnit.SECONDS, waiting);
    workers.prestartAllCoreThreads();
    asked = cancelled;
  }

  boolean isCancelled() {
    return stopping || asked.getAsBoolean();
  }

  /**
   * @throws CancellationException if the work is to stop
   */
  public void stopIfCancelled() {
    if (isCancelled()) {
      throw new CancellationException("the build was cancelled");
    }
  }

  /** Submits work for a free core. */
  public <T> Future<T> submit(Callable<T> work) {
    return workers.submit(work);
  }

  /** The same, before all that waits for a core. */
  <T> Future<T> submitFirst(Callable<T> work) {
    FutureTask<T> task = new FutureTask<>(work);
    waiting.addFirst(task);
    return task;
  }

  /** Waits for a result, and throws what the work threw. */
  public <T> T result(Future<T> future) throws IOException {
    try {
      while (true) {
        try {
          return future.get(200, TimeUnit.MILLISECONDS);
        } catch (TimeoutException stillRunning) {
          stopIfCancelled();
        }
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new CancellationException("the build was cancelled");
    } catch (ExecutionException e) {
      if (e.getCause() instanceof IOException io) {
        throw io;
      }
      if (e.getCause() instanceof RuntimeException runtime) {
        throw runtime;
      }
      if (e.getCause() instanceof Error error) {
        throw error;
      }
      throw new IOException(e.getCause());
    }
  }

  /** Waits for the next in a queue that work fills. */
  <T> T next(BlockingQueue<T> queue) {
    try {
      while (true) {
        T next = queue.poll(200, TimeUnit.MILLISECONDS);
        if (next != null) {
          return next;
        }
        stopIfCancelled();
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new CancellationException("the build was cancelled");
    }
  }

  /** The same for several, in the order in which they are given. */
  <K, V> Map<K, V> results(Map<K, Future<V>> futures) throws IOException {
    Map<K, V> results = new LinkedHashMap<>();
    for (Map.Entry<K, Future<V>> future : futures.entrySet()) {
      results.put(future.getKey(), result(future.getValue()));
    }
    return results;
  }

  /**
   * Starts no further work and waits for running work; afterwards no thread writes to the folder.
   */
  @Override
  public void close() {
    stopping = true;
    waiting.clear();
    workers.shutdown();
    boolean interrupted = false;
    while (true) {
      try {
        if (workers.awaitTermination(1, TimeUnit.SECONDS)) {
          break;
        }
      } catch (InterruptedException e) {
        interrupted = true;
      }
    }
    if (interrupted) {
      Thread.currentThread().interrupt();
    }
  }
}
