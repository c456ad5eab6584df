package takewright.segment.ahead;

import java.util.Deque;
import java.util.concurrent.Callable;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ConcurrentLinkedDeque;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.FutureTask;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.function.Predicate;

/**
 * Parts of one thread's work that another may do before they are needed. What it has not begun by
 * then is done by the thread that needs it, which alone calls the methods here.
 */
public final class Ahead {
  /** For a thread that has no help. */
  public static final Predicate<Runnable> NOBODY = work -> false;

  /** Tasks that are worth waking another thread for, which takes as long as a tenth of one. */
  private static final int WORTH = 3;

  private final Predicate<Runnable> helper;
  private final Deque<Task<?>> waiting = new ConcurrentLinkedDeque<>();
  private final AtomicBoolean isHelped = new AtomicBoolean();

  /**
   * @param helper runs work in another thread, or says that none is free
   */
  public Ahead(Predicate<Runnable> helper) {
    this.helper = helper;
  }

  /**
   * A part of the work.
   *
   * @param <T> its result
   */
  public final class Task<T> extends FutureTask<T> {
    private final AtomicBoolean isBegun = new AtomicBoolean();

    private Task(Callable<T> work) {
      super(work);
    }

    @Override
    public void run() {
      if (isBegun.compareAndSet(false, true)) {
        super.run();
      }
    }

    /** Takes the task back: nobody works on it any more once this returns. */
    void drop() {
      waiting.remove(this);
      if (!isBegun.compareAndSet(false, true)) {
        result();
      }
    }

    /** The result, which is worked out here if nobody has begun to. */
    public T result() {
      waiting.remove(this);
      run();
      try {
        return get();
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw new CancellationException("interrupted");
      } catch (ExecutionException e) {
        if (e.getCause() instanceof Error error) {
          throw error;
        }
        throw (RuntimeException) e.getCause(); // no task throws what is checked
      }
    }
  }

  /** Whether nobody helps. */
  boolean isAlone() {
    return helper == NOBODY;
  }

  /** Offers work to the other thread. */
  public <T> Task<T> begin(Callable<T> work) {
    Task<T> task = new Task<>(work);
    waiting.addLast(task);
    if (waiting.size() >= WORTH
        && isHelped.compareAndSet(false, true)
        && !helper.test(this::help)) {
      isHelped.set(false);
    }
    return task;
  }

  /** Does what waits in the other thread, beginning with what is needed last. */
  private void help() {
    for (Task<?> next = waiting.pollLast(); next != null; next = waiting.pollLast()) {
      next.run();
    }
    isHelped.set(false);
  }
}
