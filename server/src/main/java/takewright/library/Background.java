package takewright.library;

import java.io.Closeable;
import java.io.IOException;
import java.util.concurrent.Callable;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.Future;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.function.BooleanSupplier;

/**
 * Work on all cores at once, first come, first served. Once it is closed no thread of it writes to
 * the output folder any more.
 */
public final class Background implements Closeable {
  private final ThreadPoolExecutor workers;
  private final BooleanSupplier asked;

  /** Set once the build is over for whatever reason, so that what still runs stops. */
  private volatile boolean stopping;

  /**
   * @param cancelled asked now and then whether the work is to stop
   */
  public Background(BooleanSupplier cancelled) {
    int cores = Runtime.getRuntime().availableProcessors();
    workers =
        new ThreadPoolExecutor(
            cores, cores, 0, TimeUnit.SECONDS, new LinkedBlockingQueue<Runnable>());
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

  /** Work for when a core is free. */
  public <T> Future<T> submit(Callable<T> work) {
    return workers.submit(work);
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

  /** Starts nothing more and waits for what runs: after this no thread writes to the folder. */
  @Override
  public void close() {
    stopping = true;
    workers.getQueue().clear();
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
