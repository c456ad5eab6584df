package takewright.service.work;

import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;
import java.util.function.LongSupplier;

/**
 * Gives memory back to the system once a service has nothing to do. The JVM by itself keeps what a
 * build once needed, since it collects only when the heap is full; a collection lets it shrink.
 */
final class IdleMemory {
  /**
   * Nobody notices a collection after so long, and the threads of the work, with what each kept for
   * itself, have ended then.
   */
  static final long IDLE_NS = TimeUnit.SECONDS.toNanos(40);

  private static final long LOOK_MS = 5_000;

  private final LongSupplier clockNs;
  private final BooleanSupplier isIdle;
  private final Runnable collect;
  private long lastNs;

  /** Whether there was work since memory was last given back. */
  private boolean hasWorked;

  /**
   * @param clockNs nanoseconds of some clock
   * @param isIdle whether nothing runs
   * @param collect gives back what is not needed
   */
  IdleMemory(LongSupplier clockNs, BooleanSupplier isIdle, Runnable collect) {
    this.clockNs = clockNs;
    this.isIdle = isIdle;
    this.collect = collect;
  }

  /** Some work has ended. */
  synchronized void worked() {
    lastNs = clockNs.getAsLong();
    hasWorked = true;
  }

  /** Gives memory back, once, if nothing has run for long enough. */
  void look() {
    synchronized (this) {
      if (!hasWorked || !isIdle.getAsBoolean() || clockNs.getAsLong() - lastNs < IDLE_NS) {
        return;
      }
      hasWorked = false;
    }
    collect.run();
  }

  /** Looks now and then, until the thread is interrupted. */
  Thread start() {
    Thread thread =
        new Thread(
            () -> {
              try {
                while (true) {
                  Thread.sleep(LOOK_MS);
                  look();
                }
              } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
              }
            },
            "takewright-idle");
    thread.setDaemon(true);
    thread.start();
    return thread;
  }
}
