package takewright.service;

import java.util.EnumMap;
import java.util.Map;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.Semaphore;
import java.util.concurrent.SynchronousQueue;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

/**
 * The threads that do the work of calls, so that the threads of the network never wait. A call that
 * is let in has a thread at once, for it waits for its client as often as it works; when it works
 * is up to its {@link Turns}. As many are let in as will not have to wait for long; what comes on
 * top is refused at once.
 */
final class Workers implements AutoCloseable {
  /** Calls let in for each core: at 10 ms each, the last of them waits for a third of a second. */
  private static final int SHORT_EACH = 32;

  /** At the share of a core that takes of a minute need, the last waits for some seconds. */
  private static final int LONG_EACH = 4;

  /** Calls let in on the largest machines; each may hold 2 MiB of audio that it has not read. */
  private static final int MAX_CALLS = 128;

  /** Sessions, and calls that take them over. */
  private static final int LIVE = 2 * Sessions.MAX_SESSIONS;

  /** Builds, audits and renderings: each uses all cores, and up to a few hundred megabytes. */
  private static final int BATCH = 4;

  /** Time that work gets to clean up behind itself once its call has been stopped. */
  private static final int CLEAN_UP_S = 3;

  private final Turns turns;
  private final Map<Lane, Semaphore> room = new EnumMap<>(Lane.class);
  private final ThreadPoolExecutor pool;

  Workers() {
    this(Runtime.getRuntime().availableProcessors());
  }

  /** For a machine of so many cores. */
  Workers(int cores) {
    turns = new Turns(cores);
    for (Lane lane : Lane.values()) {
      room.put(lane, new Semaphore(max(lane, cores)));
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
  }

  /** Calls of a lane that are let in at once. */
  static int max(Lane lane, int cores) {
    return switch (lane) {
      case LIVE -> LIVE;
      case SHORT -> Math.min(MAX_CALLS, SHORT_EACH * cores);
      case LONG -> Math.min(MAX_CALLS, LONG_EACH * cores);
      case BATCH -> BATCH;
    };
  }

  /**
   * Has work done.
   *
   * @throws ProblemException OVERLOADED where there is too much of it already
   */
  void run(Lane lane, Runnable work) {
    Semaphore places = room.get(lane);
    if (!places.tryAcquire()) {
      throw new ProblemException(Reason.OVERLOADED, "", switch (lane) {
            case LIVE -> "too many sessions are followed at once";
            case SHORT -> "too many calls at once";
            case LONG -> "too many takes are worked on at once";
            case BATCH -> BATCH + " builds or audits run already";
          }, "try again when some of them are done");
    }
    boolean isTaken = false;
    try {
      pool.execute(
          () -> {
            try {
              turns.run(lane, work);
            } finally {
              places.release();
            }
          });
      isTaken = true;
    } catch (RejectedExecutionException e) {
      throw new ProblemException(
          Reason.STOPPING, "", "the service is stopping", "call again when it has started anew");
    } finally {
      if (!isTaken) {
        places.release();
      }
    }
  }

  /** Has a part of a call's work done by another thread, if a core is free for it. */
  void beside(Runnable part) {
    if (!turns.tryTake()) {
      return;
    }
    boolean isTaken = false;
    try {
      pool.execute(
          () -> {
            try {
              part.run();
            } finally {
              turns.giveBack();
            }
          });
      isTaken = true;
    } catch (RejectedExecutionException e) {
      // The service is stopping: who asked does it.
    } finally {
      if (!isTaken) {
        turns.giveBack();
      }
    }
  }

  /** Who works when. */
  Turns turns() {
    return turns;
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
