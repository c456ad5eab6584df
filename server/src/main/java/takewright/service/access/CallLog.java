package takewright.service.access;

import io.grpc.Grpc;
import io.grpc.Metadata;
import io.grpc.ServerStreamTracer;
import io.grpc.Status;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * Logs one line for each call when it ends, also for refused ones: method, address of the caller,
 * status, duration and bytes transferred. It sees neither headers nor messages.
 */
public final class CallLog extends ServerStreamTracer.Factory {
  private static final Logger LOG = LoggerFactory.getLogger("takewright.calls");

  /**
   * The longest method of the contract has half this length; an unknown name may have any length.
   */
  private static final int MAX_METHOD_LENGTH = 80;

  @Override
  public ServerStreamTracer newServerStreamTracer(String method, Metadata headers) {
    return new Tracer(method.substring(0, Math.min(MAX_METHOD_LENGTH, method.length())));
  }

  private static final class Tracer extends ServerStreamTracer {
    private final long beganNs = System.nanoTime();
    private final String method;
    private volatile String peer = "";
    // Each is counted by one thread, and read when the stream is closed.
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
