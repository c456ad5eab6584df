package takewright.service;

import io.grpc.Status;
import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;

/** Keeps how a call ends, and none of its answers. */
public final class CallEnd<Q, A> implements ClientResponseObserver<Q, A> {
  /** Longer than a call may stand still when others are refused; far shorter than it may else. */
  static final int SOON_S = 60;

  private final CompletableFuture<Status> over = new CompletableFuture<>();
  private final boolean reads;

  private CallEnd(boolean reads) {
    this.reads = reads;
  }

  /** Of a client that reads what it is answered. */
  public static <Q, A> CallEnd<Q, A> reading() {
    return new CallEnd<>(true);
  }

  /** Of a client that asks for no answer. */
  static <Q, A> CallEnd<Q, A> readingNothing() {
    return new CallEnd<>(false);
  }

  /** Whether the call has ended. */
  boolean isOver() {
    return over.isDone();
  }

  /** The status with which the call ends, which it must soon. */
  public Status soon() throws InterruptedException, ExecutionException, TimeoutException {
    return over.get(SOON_S, TimeUnit.SECONDS);
  }

  @Override
  public void beforeStart(ClientCallStreamObserver<Q> call) {
    if (!reads) {
      call.disableAutoRequestWithInitial(0);
    }
  }

  @Override
  public void onNext(A answer) {}

  @Override
  public void onError(Throwable failure) {
    over.complete(Status.fromThrowable(failure));
  }

  @Override
  public void onCompleted() {
    over.complete(Status.OK);
  }
}
