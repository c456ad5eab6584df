package takewright.service.work;

import java.util.EnumMap;
import java.util.Map;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.SynchronousQueue;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.access.Limits;

/**
 * The threads that do the work of calls, so that the network's threads never wait. An admitted call
 * gets a thread at once, since it waits for its client as often as it computes; {@link
 * CoreScheduler} decides when it computes. Only as many calls are admitted as can be served soon;
 * the rest are refused at once.
 */
public final class Workers implements AutoCloseable {
  /** Short calls admitted per core: at 10 ms each, the last waits for a third of a second. */
  private static final int SHORT_EACH = 32;

  /** Long calls admitted per core: with takes of a minute, the last waits for some seconds. */
  private static final int LONG_EACH = 4;

  /** Calls admitted on the largest machines; each may hold 2 MiB of unread audio. */
  private static final int MAX_CALLS = 128;

  /** Followed sessions, and calls that take them over. */
  private static final int LIVE = 2 * Limits.SESSIONS;

  /** Builds, audits and renderings: each uses all cores, and up to a few hundred megabytes. */
  public static final int BATCH = 4;

  /** Time that work gets to clean up after its call has been stopped. */
  private static final int CLEAN_UP_S = 3;

  private final CoreScheduler scheduler;
  private final Map<Priority, Places> room = new EnumMap<>(Priority.class);
  private final ThreadPoolExecutor pool;
  private final IdleMemory memory = new IdleMemory(System::nanoTime, this::isIdle, System::gc);
  private final Thread idle;

  public Workers() {
    this(Runtime.getRuntime().availableProcessors());
  }

  /** For a machine with this number of cores. */
  public Workers(int cores) {
    scheduler = new CoreScheduler(cores);
    for (Priority priority : Priority.values()) {
      room.put(priority, new Places(max(priority, cores), System::nanoTime));
    }
    AtomicInteger count = new AtomicInteger();
    pool =
        new ThreadPoolExecutor(
            0,
            Integer.MAX_VALUE,
            30,
            TimeUnit.SECONDS,
            new SynchronousQueue<>(),
            task -> {
              Thread thread = new Thread(task, "takewright-worker-" + count.incrementAndGet());
              thread.setDaemon(true);
              return thread;
            });
    idle = memory.start();
  }

  private boolean isIdle() {
    return pool.getActiveCount() == 0;
  }

  /** Calls of a priority that are admitted at once. */
  public static int max(Priority priority, int cores) {
    return switch (priority) {
      case LIVE -> LIVE;
      case SHORT -> Math.min(MAX_CALLS, SHORT_EACH * cores);
      case LONG -> Math.min(MAX_CALLS, LONG_EACH * cores);
      case BATCH -> BATCH;
    };
  }

  /**
   * Runs work of a priority in a thread of its own.
   *
   * @throws ProblemException OVERLOADED if too many calls of this priority run
   */
  public void run(Priority priority, Runnable work) {
    Places places = room.get(priority);
    if (!places.tryTake()) {
      throw new ProblemException(
          Reason.OVERLOADED,
          "",
          switch (priority) {
            case LIVE -> "too many sessions are being followed";
            case SHORT -> "too many calls at once";
            case LONG -> "too many takes are being processed";
            case BATCH -> BATCH + " builds or audits are running already";
          },
          "try again when some of them have finished");
    }
    boolean isTaken = false;
    try {
      pool.execute(
          () -> {
            try {
              places.run(() -> scheduler.run(priority, work));
            } finally {
              memory.worked();
              places.giveBack();
            }
          });
      isTaken = true;
    } catch (RejectedExecutionException e) {
      throw new ProblemException(
          Reason.STOPPING, "", "the service is stopping", "call again once it has restarted");
    } finally {
      if (!isTaken) {
        places.giveBack();
      }
    }
  }

  /** Runs a part of a call's work in another thread, if a core is free. Answers whether one is. */
  public boolean beside(Runnable part) {
    if (!scheduler.tryTake()) {
      return false;
    }
    boolean isTaken = false;
    try {
      pool.execute(
          () -> {
            try {
              part.run();
            } finally {
              scheduler.giveBack();
            }
          });
      isTaken = true;
    } catch (RejectedExecutionException e) {
      // The service is stopping: the caller does the part itself.
    } finally {
      if (!isTaken) {
        scheduler.giveBack();
      }
    }
    return isTaken;
  }

  /** Decides which work computes when. */
  public CoreScheduler scheduler() {
    return scheduler;
  }

  /** Accepts no more work, and waits briefly for running work to end. */
  @Override
  public void close() {
    idle.interrupt();
    pool.shutdown();
    try {
      pool.awaitTermination(CLEAN_UP_S, TimeUnit.SECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }
}
