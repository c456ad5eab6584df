package takewright.examples;

import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import java.util.function.Consumer;

/** A streamed call: hands the responses on, and sends no faster than the service receives. */
final class Call<Q, A> implements ClientResponseObserver<Q, A> {
  private final Consumer<A> taker;
  private ClientCallStreamObserver<Q> stream;
  private boolean isOver;
  private RuntimeException failure;

  Call(Consumer<A> taker) {
    this.taker = taker;
  }

  @Override
  public void beforeStart(ClientCallStreamObserver<Q> started) {
    stream = started;
    stream.setOnReadyHandler(this::wake);
  }

  private synchronized void wake() {
    notifyAll();
  }

  /**
   * Sends a message as soon as there is room for it.
   *
   * @throws StatusRuntimeException if the call has failed
   */
  void send(Q request) {
    if (sendUnlessOver(request)) {
      return;
    }
    throwFailure();
    throw Status.CANCELLED.withDescription("the service ended the call early").asRuntimeException();
  }

  /** The same; false if the call is over. */
  synchronized boolean sendUnlessOver(Q request) {
    try {
      while (!stream.isReady() && !isOver) {
        wait();
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw Status.CANCELLED.withDescription("interrupted").withCause(e).asRuntimeException();
    }
    if (isOver) {
      return false;
    }
    stream.onNext(request);
    return true;
  }

  /** Closes the sending side and waits for the last response. */
  void finish() {
    synchronized (this) {
      if (!isOver) {
        stream.onCompleted();
      }
      try {
        while (!isOver) {
          wait();
        }
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        stream.cancel("interrupted", e);
      }
    }
    throwFailure();
  }

  /** Ends the call without waiting for it. */
  void cancel(String reason) {
    stream.cancel(reason, null);
  }

  synchronized boolean isOver() {
    return isOver;
  }

  private synchronized void throwFailure() {
    if (failure != null) {
      throw failure;
    }
  }

  @Override
  public void onNext(A answer) {
    try {
      taker.accept(answer);
    } catch (Problem problem) {
      synchronized (this) {
        failure = problem;
      }
      stream.cancel(problem.getMessage(), problem);
    }
  }

  @Override
  public synchronized void onError(Throwable problem) {
    if (failure == null) {
      failure = Status.fromThrowable(problem).asRuntimeException();
    }
    isOver = true;
    notifyAll();
  }

  @Override
  public synchronized void onCompleted() {
    isOver = true;
    notifyAll();
  }
}
