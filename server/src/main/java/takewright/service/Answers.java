package takewright.service;

import io.grpc.stub.ServerCallStreamObserver;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

/**
 * The answers of a call, sent by one worker, which waits while the client does not take them. Ends
 * with CANCELLED if nobody listens any more.
 */
final class Answers<A> {
  /** Longest wait for a client that does not read, so that no worker hangs forever. */
  private static final long PATIENCE_MS = 120_000;

  private final ServerCallStreamObserver<A> call;

  Answers(ServerCallStreamObserver<A> call) {
    this.call = call;
  }

  /** Wakes a sender that waits: to be called when the call is ready or cancelled. */
  synchronized void changed() {
    notifyAll();
  }

  boolean cancelled() {
    return call.isCancelled();
  }

  /** Whether an answer would leave at once. */
  boolean ready() {
    return call.isReady();
  }

  /** Sends one answer. */
  void send(A answer) {
    awaitReady();
    call.onNext(answer);
  }

  /** Sends the one answer of a call, which always has room. */
  void sendOnly(A answer) {
    if (!call.isCancelled()) {
      call.onNext(answer);
    }
  }

  private synchronized void awaitReady() {
    if (call.isReady()) {
      return;
    }
    CoreScheduler.pause();
    try {
      waitUntilReady();
    } finally {
      CoreScheduler.resume();
    }
  }

  private void waitUntilReady() {
    long giveUp = System.nanoTime() + PATIENCE_MS * 1_000_000;
    while (!call.isReady()) {
      if (call.isCancelled()) {
        throw ProblemException.cancelled();
      }
      long left = (giveUp - System.nanoTime()) / 1_000_000;
      if (left <= 0) {
        throw new ProblemException(
            Reason.TOO_SLOW,
            "",
            "the client took no answer for " + PATIENCE_MS / 1000 + " s",
            "read the answers as they come");
      }
      try {
        wait(left);
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw ProblemException.cancelled();
      }
    }
  }

  /** Ends the call well. */
  void end() {
    if (!call.isCancelled()) {
      call.onCompleted();
    }
  }

  /** Ends the call with what went wrong. */
  void fail(Throwable failure) {
    RuntimeException answer = ErrorDetails.of(Failures.of(failure));
    if (!call.isCancelled()) {
      call.onError(answer);
    }
  }
}
