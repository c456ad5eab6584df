package takewright.service;

import io.grpc.Grpc;
import io.grpc.Metadata;
import io.grpc.ServerStreamTracer;
import io.grpc.Status;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * A line in the log for each call when it is over, also for one that was refused: what was called
 * from where, how it ended, how long it took, and bytes on the wire. Nothing of what was said is
 * seen here, neither headers nor messages.
 */
final class CallLog extends ServerStreamTracer.Factory {
  private static final Logger LOG = LoggerFactory.getLogger("takewright.calls");

  /** The contract's longest is half as long; a name that is not in it may be of any length. */
  private static final int MAX_METHOD_LENGTH = 80;

  @Override
  public ServerStreamTracer newServerStreamTracer(String method, Metadata headers) {
    return new Tracer(method.substring(0, Math.min(MAX_METHOD_LENGTH, method.length())));
  }

  private static final class Tracer extends ServerStreamTracer {
    private final long beganNs = System.nanoTime();
    private final String method;
    private volatile String peer = "";
    // Each counted by one thread, and read when the stream is closed.
    private volatile long bytesIn;
    private volatile long bytesOut;

    Tracer(String method) {
      this.method = method;
    }

    @Override
    public void serverCallStarted(ServerCallInfo<?, ?> call) {
      peer = String.valueOf(call.getAttributes().get(Grpc.TRANSPORT_ATTR_REMOTE_ADDR));
    }

    @Override
    public void inboundWireSize(long bytes) {
      bytesIn += bytes;
    }

    @Override
    public void outboundWireSize(long bytes) {
      bytesOut += bytes;
    }

    @Override
    public void streamClosed(Status status) {
      LOG.atInfo()
          .addKeyValue("method", method)
          .addKeyValue("status", status.getCode().name())
          .addKeyValue("duration_ms", (System.nanoTime() - beganNs) / 1_000_000)
          .addKeyValue("peer", peer.startsWith("/") ? peer.substring(1) : peer)
          .addKeyValue("bytes_in", bytesIn)
          .addKeyValue("bytes_out", bytesOut)
          .log("call");
    }
  }
}
