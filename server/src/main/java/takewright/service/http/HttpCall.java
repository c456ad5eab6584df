package takewright.service.http;

import com.google.protobuf.Message;
import io.grpc.CallOptions;
import io.grpc.Channel;
import io.grpc.ClientCall;
import io.grpc.Metadata;
import io.grpc.MethodDescriptor;
import io.grpc.Status;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;

/**
 * One call of any kind, with one request, whose answers are asked for one at a time: while the HTTP
 * client does not read, the adapter waits.
 */
final class HttpCall implements AutoCloseable {
  private final ClientCall<Message, Message> call;

  /** Answers, then the status; at most two at a time. */
  private final BlockingQueue<Object> events = new LinkedBlockingQueue<>();

  private HttpCall(ClientCall<Message, Message> call) {
    this.call = call;
  }

  static HttpCall start(
      Channel channel, MethodDescriptor<Message, Message> method, Message request) {
    HttpCall started = new HttpCall(channel.newCall(method, CallOptions.DEFAULT));
    started.call.start(started.new Events(), new Metadata());
    started.call.request(1);
    started.call.sendMessage(request);
    started.call.halfClose();
    return started;
  }

  /**
   * The next answer; null at the end.
   *
   * @throws io.grpc.StatusRuntimeException if the call fails
   */
  Message next() throws InterruptedException {
    Object event = events.take();
    if (event instanceof Message answer) {
      call.request(1);
      return answer;
    }
    Ended ended = (Ended) event;
    if (!ended.status.isOk()) {
      throw ended.status.asRuntimeException(ended.trailers);
    }
    return null;
  }

  /** Cancels the call if it has not ended. */
  @Override
  public void close() {
    call.cancel("the HTTP client is gone", null);
  }

  private record Ended(Status status, Metadata trailers) {}

  private final class Events extends ClientCall.Listener<Message> {
    @Override
    public void onMessage(Message answer) {
      events.add(answer);
    }

    @Override
    public void onClose(Status status, Metadata trailers) {
      events.add(new Ended(status, trailers));
    }
  }
}
