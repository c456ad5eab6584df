package takewright.service;

import java.lang.management.ManagementFactory;
import java.lang.management.ThreadMXBean;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.HashMap;
import java.util.Map;
import java.util.concurrent.locks.Condition;
import java.util.concurrent.locks.ReentrantLock;

/**
 * Shares the cores out among the calls that work, so that many at once are slow only in what takes
 * long anyway. Short work has a turn as soon as a core is free of other short work. Long work has
 * one where cores are left over, and one of them always, so that it never stands still; it works in
 * slices, first come, first served. Batch work has no turns, but steps aside now and then while
 * others work, and leaves a core to sessions that are followed.
 *
 * <p>A call has no turn while it waits for its client.
 */
final class Turns {
  /** How long a piece of long work keeps its turn where others wait: many blocks of audio. */
  private static final long SLICE_NS = 10_000_000;

  /** What has had turns for so long is no short work: some ten samples of two seconds. */
  private static final long SHORT_NS = 100_000_000;

  /** Batch work goes on for so long before it steps aside again. */
  private static final long BATCH_NS = 20_000_000;

  /**
   * It stands aside for so many times as long as it went on at most, and so goes on at a quarter of
   * its speed at least.
   */
  private static final long ASIDE = 3;

  /** The turn of the work that runs in this thread. */
  private static final ThreadLocal<Turn> MINE = new ThreadLocal<>();

  /** A thread of batch work that has not been heard of for so long has ended. */
  private static final long BATCH_GONE_NS = 500_000_000;

  /** A thread that worked for less than this share of the time waits for others itself. */
  private static final int WORKED = 8;

  private static final ThreadMXBean THREADS = ManagementFactory.getThreadMXBean();

  private final int cores;
  private final ReentrantLock lock = new ReentrantLock();
  private final Condition isFree = lock.newCondition();
  private final Deque<Turn> shortWaiting = new ArrayDeque<>();
  private final Deque<Turn> longWaiting = new ArrayDeque<>();
  private final ThreadLocal<WentOn> wentOn = ThreadLocal.withInitial(WentOn::now);

  /** Threads of batch work that go on while sessions are followed, and since when. */
  private final Map<Thread, Long> batchRunning = new HashMap<>();

  private int shortRunning;
  private int longRunning;
  private int liveRunning;

  /** When a thread of batch work went on: on the clock, and its processor time by then. */
  private record WentOn(long clockNs, long processorNs) {
    static WentOn now() {
      return new WentOn(System.nanoTime(), THREADS.getCurrentThreadCpuTime());
    }
  }

  /** One piece of work, and whether it may work now. */
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

  Turns(int cores) {
    this.cores = cores;
  }

  /** Does work of a lane in this thread, when its turn has come. */
  void run(Lane lane, Runnable work) {
    if (lane == Lane.BATCH) {
      work.run();
      return;
    }
    if (lane == Lane.LIVE) {
      countLive(1);
      try {
        work.run();
      } finally {
        countLive(-1);
      }
      return;
    }
    Turn turn = new Turn(lane == Lane.LONG);
    turn.take();
    MINE.set(turn);
    try {
      work.run();
    } finally {
      MINE.remove();
      turn.give();
    }
  }

  /** Before waiting for someone: others may work meanwhile. */
  static void pause() {
    Turn turn = MINE.get();
    if (turn != null) {
      turn.give();
    }
  }

  /** After waiting. */
  static void resume() {
    Turn turn = MINE.get();
    if (turn != null) {
      turn.take();
    }
  }

  /** Between two pieces of work: those go on who should. */
  static void offer() {
    Turn turn = MINE.get();
    if (turn != null) {
      turn.offer();
    }
  }

  /** Says that the work in this thread is long, before it is seen to be. */
  static void expectLong() {
    Turn turn = MINE.get();
    if (turn != null && !turn.isLong) {
      turn.usedNs = SHORT_NS;
      turn.offer();
    }
  }

  /** Takes a turn for a part of short work, where a core is free and nobody waits for it. */
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

  /** Between two pieces of batch work, in whatever thread. */
  void stepAside() {
    long went = System.nanoTime() - wentOn.get().clockNs;
    if (went < BATCH_NS) {
      return;
    }
    boolean worked = THREADS.getCurrentThreadCpuTime() - wentOn.get().processorNs > went / WORKED;
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
    wentOn.set(WentOn.now());
  }

  /**
   * Whether a thread of batch work may go on. While someone plays, builds have one core less than
   * there are (of one, half): each thread more than there are cores would have a note wait for the
   * system's next slice on its way from the network to the answer, some six times.
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

  /** Gives turns to those who wait, as many as there are. */
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
