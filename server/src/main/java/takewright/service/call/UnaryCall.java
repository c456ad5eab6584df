package takewright.service.call;

import io.grpc.stub.ServerCallStreamObserver;
import io.grpc.stub.StreamObserver;
import java.util.concurrent.Callable;
import takewright.service.work.Priority;
import takewright.service.work.Workers;

/** Calls with one request and one response. */
public final class UnaryCall {
  private UnaryCall() {}

  /** Work that may fail. */
  public interface Work {
    void run() throws Exception;
  }

  /** Runs on a worker; for calls that may wait. */
  public static <A> void work(
      Workers workers, Priority priority, StreamObserver<A> observer, Callable<A> work) {
    Answers<A> answers = answers(observer);
    guard(answers, () -> workers.run(priority, () -> answer(answers, work)));
  }

  /** Work that answers a call, possibly more than once. */
  public interface Answering<A> {
    void run(Answers<A> answers) throws Exception;
  }

  /** Runs on a worker and then ends the call; for calls with several answers. */
  public static <A> void several(
      Workers workers, Priority priority, StreamObserver<A> observer, Answering<A> work) {
    Answers<A> answers = answers(observer);
    guard(
        answers,
        () ->
            workers.run(
                priority,
                () ->
                    guard(
                        answers,
                        () -> {
                          work.run(answers);
                          answers.end();
                        })));
  }

  /** Runs on the network's thread; for calls that take microseconds. */
  public static <A> void atOnce(StreamObserver<A> observer, Callable<A> work) {
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
  public static void guard(Answers<?> answers, Work work) {
    try {
      work.run();
    } catch (Throwable e) {
      answers.fail(e);
    }
  }
}
