package takewright.cli;

import java.util.concurrent.atomic.AtomicBoolean;

/** A command that may be interrupted, by Ctrl-C or by the system: it says so once and cleans up. */
final class Interruption implements AutoCloseable {
  /** By then the process has ended, in milliseconds. */
  private static final long END_MS = 10_000;

  private final Runnable line;
  private final Thread hook;
  private final AtomicBoolean isTold = new AtomicBoolean();

  /**
   * Begins to listen.
   *
   * @param line prints what the command says then
   * @param onEnd what it does then, in a thread of its own
   */
  Interruption(Runnable line, Runnable onEnd) {
    this.line = line;
    hook = new Thread(onEnd);
    Runtime.getRuntime().addShutdownHook(hook);
  }

  /** Says so, unless it has been said. */
  void tell() {
    if (isTold.compareAndSet(false, true)) {
      line.run();
    }
  }

  /**
   * If the process is ending, says so and waits for its end: whatever failed, failed for that, and
   * is not to be told.
   */
  void endIfBegun() {
    if (!isEnding()) {
      return;
    }
    tell();
    try {
      Thread.sleep(END_MS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private static boolean isEnding() {
    try {
      Runtime.getRuntime().removeShutdownHook(new Thread());
      return false;
    } catch (IllegalStateException e) {
      return true;
    }
  }

  /** Ends listening. */
  @Override
  public void close() {
    try {
      Runtime.getRuntime().removeShutdownHook(hook);
    } catch (IllegalStateException e) {
      // It runs already.
    }
  }
}
