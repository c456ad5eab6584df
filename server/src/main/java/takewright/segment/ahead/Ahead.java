package takewright.segment.ahead;

import java.util.Queue;
import java.util.concurrent.Callable;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.FutureTask;
import java.util.concurrent.atomic.AtomicBoolean;

/**
 * Parts of one thread's work that another may do before they are needed. What it has not begun by
 * then is done by the thread that needs it.
 */
public final class Ahead {
  /** Runs work in another thread, if one is free. */
  public interface Helper {
    /** Whether another thread takes the work on. */
    boolean takes(Runnable work);
  }

  /** For a thread that has no help. */
  public static final Helper NOBODY = work -> false;

  private final Helper helper;
  private final Queue<Task<?>> waiting = new ConcurrentLinkedQueue<>();
  private final AtomicBoolean isHelped = new AtomicBoolean();

  public Ahead(Helper helper) {
    this.helper = helper;
  }

  /**
   * A part of the work.
   *
   * @param <T> its result
   */
  public static final class Task<T> extends FutureTask<T> {
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

    /** It is not needed: nobody works on it any more once this returns. */
    public void drop() {
      if (!isBegun.compareAndSet(false, true)) {
        result();
      }
    }

    /** The result, which is worked out here if nobody has begun to. */
    public T result() {
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
        throw (RuntimeException) e.getCause(); // no part throws what is checked
      }
    }
  }

  /** Whether parts wait until they are needed, as nobody helps. */
  public boolean isAlone() {
    return helper == NOBODY;
  }

  /** Offers a part to the other thread. */
  public <T> Task<T> begin(Callable<T> work) {
    Task<T> part = new Task<>(work);
    if (!isAlone()) {
      waiting.add(part);
      if (isHelped.compareAndSet(false, true) && !helper.takes(this::help)) {
        isHelped.set(false);
      }
    }
    return part;
  }

  /** Does what waits, oldest first, in the other thread. */
  private void help() {
    do {
      for (Task<?> next = waiting.poll(); next != null; next = waiting.poll()) {
        next.run();
      }
      isHelped.set(false);
    } while (!waiting.isEmpty() && isHelped.compareAndSet(false, true));
  }
}
