package takewright.service;

import io.grpc.stub.StreamObserver;

/** Calls of the contract that this version does not answer yet. */
final class Unfilled {
  private Unfilled() {}

  static void unary(String name, StreamObserver<?> answers) {
    answers.onError(Refusal.notInThisVersion(name));
  }

  static <Q> StreamObserver<Q> stream(String name, StreamObserver<?> answers) {
    answers.onError(Refusal.notInThisVersion(name));
    return new StreamObserver<>() {
      @Override
      public void onNext(Q request) {}

      @Override
      public void onError(Throwable gone) {}

      @Override
      public void onCompleted() {}
    };
  }
}
