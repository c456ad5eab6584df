package takewright.service.call;

import io.grpc.stub.ServerCallStreamObserver;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.wire.ErrorDetails;
import takewright.service.wire.Failures;
import takewright.service.work.CoreScheduler;

/**
 * The responses of a call, sent by one worker, which waits while the client does not accept them.
 * Ends with CANCELLED once the client has gone.
 */
public final class Answers<A> {
  /** Longest wait for a client that does not read, so that no worker hangs forever. */
  private static final long PATIENCE_MS = 120_000;

  private final ServerCallStreamObserver<A> call;

  public Answers(ServerCallStreamObserver<A> call) {
    this.call = call;
  }

  /** Wakes a waiting sender; to be called when the call is ready or cancelled. */
  public synchronized void changed() {
    notifyAll();
  }

  public boolean cancelled() {
    return call.isCancelled();
  }

  /** Whether a response would be sent at once. */
  public boolean ready() {
    return call.isReady();
  }

  /** Sends one response. */
  public void send(A answer) {
    awaitReady();
    call.onNext(answer);
  }

  /** Sends the only response of a call, for which there is always room. */
  public void sendOnly(A answer) {
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

  /** Ends the call successfully. */
  public void end() {
    if (!call.isCancelled()) {
      call.onCompleted();
    }
  }

  /** Ends the call with an error. */
  public void fail(Throwable failure) {
    RuntimeException answer = ErrorDetails.of(Failures.of(failure));
    if (!call.isCancelled()) {
      call.onError(answer);
    }
  }
}
