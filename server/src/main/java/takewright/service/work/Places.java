package takewright.service.work;

import java.util.concurrent.Semaphore;
import java.util.function.LongSupplier;

/** How many calls of a priority are admitted at once, and when one was last refused. */
public final class Places {
  /** The places that the call in this thread took one of. */
  private static final ThreadLocal<Places> MINE = new ThreadLocal<>();

  private final Semaphore free;
  private final LongSupplier clockNs;
  private volatile long refusedNs;
  private volatile boolean hasRefused;

  /**
   * @param count of places
   * @param clockNs as {@link System#nanoTime}
   */
  Places(int count, LongSupplier clockNs) {
    free = new Semaphore(count);
    this.clockNs = clockNs;
  }

  /** Takes a place, if one is free. */
  boolean tryTake() {
    if (free.tryAcquire()) {
      return true;
    }
    refusedNs = clockNs.getAsLong();
    hasRefused = true;
    return false;
  }

  void giveBack() {
    free.release();
  }

  /** Runs the work of a call that has taken a place. */
  void run(Runnable work) {
    MINE.set(this);
    try {
      work.run();
    } finally {
      MINE.remove();
    }
  }

  /** Whether a call was refused a place like that of this thread's call, since a time. */
  public static boolean refusedSince(long ns) {
    Places mine = MINE.get();
    return mine != null && mine.hasRefused && mine.refusedNs - ns > 0;
  }
}
