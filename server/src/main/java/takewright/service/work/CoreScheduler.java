package takewright.service.work;

import java.lang.management.ManagementFactory;
import java.lang.management.ThreadMXBean;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.HashMap;
import java.util.Map;
import java.util.concurrent.locks.Condition;
import java.util.concurrent.locks.ReentrantLock;

/**
 * Gives out the cores to the calls that compute, so that under load only long work gets slower.
 * Short work gets a turn as soon as a core is free of other short work. Long work gets the cores
 * that are left over, but always at least one, so that it never stands still; it runs in time
 * slices, first come, first served. Batch work needs no turns; it yields from time to time while
 * others compute, and leaves a core to followed sessions.
 *
 * <p>A call gives up its turn while it waits for its client.
 */
public final class CoreScheduler {
  /** Time slice of long work when others wait: many blocks of audio. */
  private static final long SLICE_NS = 10_000_000;

  /** Work that has computed for longer than this is long: about ten samples of two seconds. */
  private static final long SHORT_NS = 100_000_000;

  /** Batch work computes for this long before it yields again. */
  private static final long BATCH_NS = 20_000_000;

  /**
   * It yields for at most this many times as long as it computed, so it keeps at least a quarter of
   * its speed.
   */
  private static final long ASIDE = 3;

  /** The turn of the work that runs in this thread. */
  private static final ThreadLocal<Turn> MINE = new ThreadLocal<>();

  /** A thread of batch work that has not reported for this long has ended. */
  private static final long BATCH_GONE_NS = 500_000_000;

  /** A thread that computed for less than one in this many nanoseconds was waiting itself. */
  private static final int WORKED = 8;

  private static final ThreadMXBean THREADS = ManagementFactory.getThreadMXBean();

  private final int cores;
  private final ReentrantLock lock = new ReentrantLock();
  private final Condition isFree = lock.newCondition();
  private final Deque<Turn> shortWaiting = new ArrayDeque<>();
  private final Deque<Turn> longWaiting = new ArrayDeque<>();
  private final ThreadLocal<Resumed> resumed = ThreadLocal.withInitial(Resumed::now);

  /** Threads of batch work that run while sessions are followed, and since when. */
  private final Map<Thread, Long> batchRunning = new HashMap<>();

  private int shortRunning;
  private int longRunning;
  private int liveRunning;

  /** When a thread of batch work resumed: wall clock, and its processor time until then. */
  private record Resumed(long clockNs, long processorNs) {
    static Resumed now() {
      return new Resumed(System.nanoTime(), THREADS.getCurrentThreadCpuTime());
    }
  }

  /** One piece of work, and whether it may compute now. */
  private final class Turn {
    private final Condition granted = lock.newCondition();
    private boolean isLong;
    private boolean has;
    private long sinceNs;
    private long usedNs;

    Turn(boolean isLong) {
      this.isLong = isLong;
    }

    void take() {
      lock.lock();
      try {
        (isLong ? longWaiting : shortWaiting).add(this);
        grant();
        while (!has) {
          granted.awaitUninterruptibly();
        }
      } finally {
        lock.unlock();
      }
      sinceNs = System.nanoTime();
    }

    void give() {
      lock.lock();
      try {
        usedNs += System.nanoTime() - sinceNs;
        has = false;
        if (isLong) {
          longRunning--;
        } else {
          shortRunning--;
        }
        isLong |= usedNs > SHORT_NS;
        grant();
      } finally {
        lock.unlock();
      }
    }

    void offer() {
      long had = System.nanoTime() - sinceNs;
      if (isLong ? had > SLICE_NS && isWanted() : usedNs + had > SHORT_NS) {
        give();
        take();
      }
    }

    private boolean isWanted() {
      lock.lock();
      try {
        return !longWaiting.isEmpty() || shortRunning + longRunning > cores && longRunning > 1;
      } finally {
        lock.unlock();
      }
    }
  }

  CoreScheduler(int cores) {
    this.cores = cores;
  }

  /** Runs work of a priority in this thread, when its turn has come. */
  void run(Priority priority, Runnable work) {
    if (priority == Priority.BATCH) {
      work.run();
      return;
    }
    if (priority == Priority.LIVE) {
      countLive(1);
      try {
        work.run();
      } finally {
        countLive(-1);
      }
      return;
    }
    Turn turn = new Turn(priority == Priority.LONG);
    turn.take();
    MINE.set(turn);
    try {
      work.run();
    } finally {
      MINE.remove();
      turn.give();
    }
  }

  /** Gives up the turn of this thread before it waits, so that others can compute. */
  public static void pause() {
    Turn turn = MINE.get();
    if (turn != null) {
      turn.give();
    }
  }

  /** Takes a turn again after waiting. */
  public static void resume() {
    Turn turn = MINE.get();
    if (turn != null) {
      turn.take();
    }
  }

  /** Gives others a turn, if it is theirs, between two pieces of work. */
  public static void offer() {
    Turn turn = MINE.get();
    if (turn != null) {
      turn.offer();
    }
  }

  /** Declares the work of this thread long, before its time shows it. */
  public static void expectLong() {
    Turn turn = MINE.get();
    if (turn != null && !turn.isLong) {
      turn.usedNs = SHORT_NS;
      turn.offer();
    }
  }

  /** Takes a turn for a part of short work if a core is free. */
  boolean tryTake() {
    lock.lock();
    try {
      boolean isFree = shortRunning + longRunning < cores;
      shortRunning += isFree ? 1 : 0;
      return isFree;
    } finally {
      lock.unlock();
    }
  }

  /** Ends a turn of {@link #tryTake}. */
  void giveBack() {
    lock.lock();
    try {
      shortRunning--;
      grant();
    } finally {
      lock.unlock();
    }
  }

  private void countLive(int more) {
    lock.lock();
    try {
      liveRunning += more;
      isFree.signalAll();
    } finally {
      lock.unlock();
    }
  }

  /** Yields, if others need the core, between two pieces of batch work; called from any thread. */
  public void stepAside() {
    long went = System.nanoTime() - resumed.get().clockNs;
    if (went < BATCH_NS) {
      return;
    }
    boolean worked = THREADS.getCurrentThreadCpuTime() - resumed.get().processorNs > went / WORKED;
    lock.lock();
    try {
      Thread me = Thread.currentThread();
      if (batchRunning.remove(me) != null) {
        isFree.signal();
      }
      for (long left = ASIDE * went; worked && left > 0 && !mayGoOn(); ) {
        left = isFree.awaitNanos(left);
      }
      if (worked && liveRunning > 0) {
        batchRunning.put(me, System.nanoTime());
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    } finally {
      lock.unlock();
    }
    resumed.set(Resumed.now());
  }

  /**
   * Whether a thread of batch work may continue. While a session is followed, builds have one core
   * less than the machine: every thread beyond the number of cores would make a note wait for the
   * system's next time slice, some six times on its way from the network to the answer.
   */
  private boolean mayGoOn() {
    if (shortRunning + longRunning >= cores) {
      return false;
    }
    if (liveRunning == 0) {
      batchRunning.clear();
      return true;
    }
    long now = System.nanoTime();
    batchRunning.values().removeIf(since -> now - since > BATCH_GONE_NS);
    return batchRunning.size() < Math.max(1, cores - 1);
  }

  /** Gives turns to waiting work as long as there are free cores. */
  private void grant() {
    while (!shortWaiting.isEmpty() && shortRunning < cores) {
      shortRunning++;
      grant(shortWaiting.remove());
    }
    while (!longWaiting.isEmpty() && (longRunning == 0 || shortRunning + longRunning < cores)) {
      longRunning++;
      grant(longWaiting.remove());
    }
    if (shortRunning + longRunning < cores) {
      isFree.signalAll();
    }
  }

  private static void grant(Turn turn) {
    turn.has = true;
    turn.granted.signal();
  }
}
