package takewright.cli.connect;

import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.stub.StreamObserver;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionException;
import java.util.function.Function;

/** Streamed calls whose audio is a file, so that only settings are sent. */
public final class StreamedCalls {
  private StreamedCalls() {}

  /** Sends the settings; returns all responses. */
  public static <Q, A> CompletableFuture<List<A>> start(
      Function<StreamObserver<A>, StreamObserver<Q>> method, Q settings) {
    CompletableFuture<List<A>> all = new CompletableFuture<>();
    List<A> answers = new ArrayList<>();
    StreamObserver<Q> call =
        method.apply(
            new StreamObserver<>() {
              @Override
              public void onNext(A answer) {
                answers.add(answer);
              }

              @Override
              public void onError(Throwable failure) {
                all.completeExceptionally(failure);
              }

              @Override
              public void onCompleted() {
                all.complete(answers);
              }
            });
    call.onNext(settings);
    call.onCompleted();
    return all;
  }

  /** Waits for the responses of a call. */
  public static <A> List<A> join(CompletableFuture<List<A>> call) {
    try {
      return call.join();
    } catch (CompletionException e) {
      if (e.getCause() instanceof StatusRuntimeException failure) {
        throw failure;
      }
      throw Status.fromThrowable(e.getCause()).asRuntimeException();
    }
  }
}
