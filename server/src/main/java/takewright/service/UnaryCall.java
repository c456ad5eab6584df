package takewright.service;

import io.grpc.stub.ServerCallStreamObserver;
import io.grpc.stub.StreamObserver;
import java.util.concurrent.Callable;

/** Calls with one request and one response. */
final class UnaryCall {
  private UnaryCall() {}

  /** Work that may fail. */
  interface Work {
    void run() throws Exception;
  }

  /** Runs on a worker; for calls that may wait. */
  static <A> void work(
      Workers workers, Priority priority, StreamObserver<A> observer, Callable<A> work) {
    Answers<A> answers = answers(observer);
    guard(answers, () -> workers.run(priority, () -> answer(answers, work)));
  }

  /** Runs on the network's thread; for calls that take microseconds. */
  static <A> void atOnce(StreamObserver<A> observer, Callable<A> work) {
    answer(answers(observer), work);
  }

  private static <A> Answers<A> answers(StreamObserver<A> observer) {
    ServerCallStreamObserver<A> call = (ServerCallStreamObserver<A>) observer;
    Answers<A> answers = new Answers<>(call);
    // Without a handler, sending to a cancelled call would throw.
    call.setOnCancelHandler(answers::changed);
    call.setOnReadyHandler(answers::changed);
    return answers;
  }

  private static <A> void answer(Answers<A> answers, Callable<A> work) {
    guard(
        answers,
        () -> {
          answers.sendOnly(work.call());
          answers.end();
        });
  }

  /** Runs the work, and ends the call with any error in it. */
  static void guard(Answers<?> answers, Work work) {
    try {
      work.run();
    } catch (Throwable e) {
      answers.fail(e);
    }
  }
}
