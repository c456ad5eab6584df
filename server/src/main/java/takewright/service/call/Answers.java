package takewright.service.call;

import com.google.protobuf.MessageLite;
import io.grpc.stub.ServerCallStreamObserver;
import takewright.diagnosis.ProblemException;
import takewright.service.wire.ErrorDetails;
import takewright.service.wire.Failures;
import takewright.service.work.CoreScheduler;

/**
 * The responses of a call, sent by one worker, which waits while the client does not accept them.
 * Ends with CANCELLED once the client has gone.
 */
public final class Answers<A> {
  /**
   * Responses that may wait for a client, in bytes: 4 MiB are some ten thousand regions, or blocks
   * of ten minutes.
   */
  private static final int AHEAD_BYTES = 4 << 20;

  private final ServerCallStreamObserver<A> call;

  /** What has been sent since the client last kept up; used by the sending worker alone. */
  private int aheadBytes;

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

  /** Whether the client gives the call up within this time, in milliseconds; waits for it. */
  public synchronized boolean isCancelledWithin(long ms) {
    CoreScheduler.pause();
    try {
      long until = System.nanoTime() + ms * 1_000_000;
      for (long left = ms; left > 0 && !call.isCancelled(); ) {
        wait(left);
        left = (until - System.nanoTime()) / 1_000_000;
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw ProblemException.cancelled();
    } finally {
      CoreScheduler.resume();
    }
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

  /**
   * Sends a small response without waiting, so that a client may send all its audio before it
   * reads; waits only once {@link #AHEAD_BYTES} wait for the client.
   */
  public void sendAhead(A answer) {
    if (call.isReady()) {
      aheadBytes = 0;
    } else {
      aheadBytes += ((MessageLite) answer).getSerializedSize();
      if (aheadBytes > AHEAD_BYTES) {
        awaitReady();
        aheadBytes = 0;
      }
    }
    if (call.isCancelled()) {
      throw ProblemException.cancelled();
    }
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
    ClientWait wait = new ClientWait();
    while (!call.isReady()) {
      if (call.isCancelled()) {
        throw ProblemException.cancelled();
      }
      wait.check("", "the client took no answer for", "read the answers as they come");
      try {
        wait(ClientWait.LOOK_MS);
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
