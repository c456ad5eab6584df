package takewright.testing;

import io.grpc.stub.ClientCallStreamObserver;
import io.grpc.stub.ClientResponseObserver;
import java.util.concurrent.CountDownLatch;

/**
 * Takes no notice of a call's answers, only of its end.
 *
 * @param <Q> what is asked
 * @param <A> what is answered
 */
public class UntilOver<Q, A> implements ClientResponseObserver<Q, A> {
  private final CountDownLatch over;

  /**
   * @param over counted down when the call has ended, well or not
   */
  public UntilOver(CountDownLatch over) {
    this.over = over;
  }

  @Override
  public void beforeStart(ClientCallStreamObserver<Q> call) {}

  @Override
  public void onNext(A answer) {}

  @Override
  public void onError(Throwable failure) {
    over.countDown();
  }

  @Override
  public void onCompleted() {
    over.countDown();
  }
}
