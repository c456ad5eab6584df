package takewright.service.access;

import io.grpc.Codec;
import io.grpc.Context;
import io.grpc.Decompressor;
import io.grpc.DecompressorRegistry;
import io.grpc.ForwardingServerCall.SimpleForwardingServerCall;
import io.grpc.ForwardingServerCallListener.SimpleForwardingServerCallListener;
import io.grpc.Metadata;
import io.grpc.ServerCall;
import io.grpc.ServerCallHandler;
import io.grpc.ServerInterceptor;
import io.grpc.ServerStreamTracer;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import java.io.FilterInputStream;
import java.io.IOException;
import java.io.InputStream;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.service.wire.ErrorDetails;

/**
 * Ends a call whose message is longer than {@link Limits#MESSAGE_BYTES} with a status that says so.
 * gRPC's own limit resets a stream that has been answered already, and clients take that for a
 * cancellation. So that limit is out of reach, and the bytes of a message are counted as they
 * arrive: no more of it is kept than with gRPC's.
 */
public final class LongMessages extends ServerStreamTracer.Factory implements ServerInterceptor {
  private static final Context.Key<Count> COUNT = Context.key("takewright-message-bytes");

  @Override
  public ServerStreamTracer newServerStreamTracer(String method, Metadata headers) {
    return new Count();
  }

  @Override
  public <Q, A> ServerCall.Listener<Q> interceptCall(
      ServerCall<Q, A> call, Metadata headers, ServerCallHandler<Q, A> next) {
    Count count = COUNT.get();
    if (count == null) {
      // Inside this process nothing is turned into bytes.
      return next.startCall(call, headers);
    }
    Refusable<Q, A> refusable = new Refusable<>(call);
    ServerCall.Listener<Q> listener = next.startCall(refusable, headers);
    count.whenTooLong(refusable::refuse);
    return new SimpleForwardingServerCallListener<>(listener) {
      @Override
      public void onComplete() {
        if (refusable.isRefused) {
          // The service did not end the call itself.
          super.onCancel();
        } else {
          super.onComplete();
        }
      }
    };
  }

  /** The bytes of the message that is arriving; counted by the network's thread. */
  private static final class Count extends ServerStreamTracer {
    private long bytes;
    private boolean isTooLong;
    private Runnable refusal;

    @Override
    public Context filterContext(Context context) {
      return context.withValue(COUNT, this);
    }

    @Override
    public void inboundMessage(int number) {
      bytes = 0;
    }

    @Override
    public void inboundWireSize(long more) {
      bytes += more;
      if (bytes > Limits.MESSAGE_BYTES) {
        tooLong();
      }
    }

    private synchronized void tooLong() {
      if (!isTooLong && refusal != null) {
        refusal.run();
      }
      isTooLong = true;
    }

    synchronized void whenTooLong(Runnable refuse) {
      refusal = refuse;
      if (isTooLong) {
        refuse.run();
      }
    }
  }

  /** A call that may be ended by the network's thread while a worker answers it. */
  private static final class Refusable<Q, A> extends SimpleForwardingServerCall<Q, A> {
    private boolean isOver;
    private volatile boolean isRefused;

    Refusable(ServerCall<Q, A> call) {
      super(call);
    }

    synchronized void refuse() {
      if (!isOver) {
        StatusRuntimeException why = ErrorDetails.of(problem());
        isRefused = true;
        close(why.getStatus(), why.getTrailers());
      }
    }

    private static Problem problem() {
      return new Problem(
          Reason.MESSAGE_TOO_LARGE,
          "",
          "a message is longer than " + Limits.MESSAGE_BYTES + " bytes",
          "send audio in pieces of at most " + Limits.AUDIO_BYTES + " bytes");
    }

    @Override
    public synchronized void sendHeaders(Metadata headers) {
      if (!isOver) {
        super.sendHeaders(headers);
      }
    }

    @Override
    public synchronized void sendMessage(A answer) {
      if (!isOver) {
        super.sendMessage(answer);
      }
    }

    @Override
    public synchronized void close(Status status, Metadata trailers) {
      if (!isOver) {
        isOver = true;
        super.close(status, trailers);
      }
    }

    @Override
    public boolean isCancelled() {
      return isRefused || super.isCancelled();
    }
  }

  /** What compressed messages are read with: none becomes longer than other messages may be. */
  public static DecompressorRegistry decompressors() {
    return DecompressorRegistry.emptyInstance()
        .with(Codec.Identity.NONE, false)
        .with(new Bounded(new Codec.Gzip()), true);
  }

  private record Bounded(Decompressor codec) implements Decompressor {
    @Override
    public String getMessageEncoding() {
      return codec.getMessageEncoding();
    }

    @Override
    public InputStream decompress(InputStream compressed) throws IOException {
      return new BoundedStream(codec.decompress(compressed));
    }
  }

  private static final class BoundedStream extends FilterInputStream {
    private long left = Limits.MESSAGE_BYTES;

    BoundedStream(InputStream in) {
      super(in);
    }

    @Override
    public int read() throws IOException {
      return counted(super.read(), 1);
    }

    @Override
    public int read(byte[] into, int from, int count) throws IOException {
      int n = super.read(into, from, count);
      return counted(n, n);
    }

    private int counted(int result, int bytes) {
      left -= result < 0 ? 0 : bytes;
      if (left < 0) {
        Count count = COUNT.get();
        if (count != null) {
          count.tooLong();
        }
        // What reads the message stops, as with gRPC's own limit.
        throw Status.RESOURCE_EXHAUSTED
            .withDescription(Refusable.problem().text())
            .asRuntimeException();
      }
      return result;
    }
  }
}
