package takewright.service;

import io.grpc.ForwardingServerCall.SimpleForwardingServerCall;
import io.grpc.Metadata;
import io.grpc.ServerCall;
import io.grpc.ServerCallHandler;
import io.grpc.ServerInterceptor;
import io.grpc.Status;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.atomic.AtomicInteger;

/**
 * Counts calls by method and status, and their durations. It holds only names of the contract and
 * numbers: no audio, paths or tokens.
 */
final class Metrics implements ServerInterceptor {
  /** Upper bounds of the histogram of durations, in seconds: a sample, a take, a library. */
  private static final double[] BOUNDS = {0.005, 0.01, 0.025, 0.1, 0.5, 2.5, 10, 60, 600};

  private final AtomicInteger running = new AtomicInteger();

  /** By method and status. The contract has about twenty methods; a client cannot add any. */
  private final Map<String, Series> series = new TreeMap<>();

  private static final class Series {
    private final long[] within = new long[BOUNDS.length];
    private long count;
    private double seconds;
  }

  @Override
  public <Q, A> ServerCall.Listener<Q> interceptCall(
      ServerCall<Q, A> call, Metadata headers, ServerCallHandler<Q, A> next) {
    long began = System.nanoTime();
    String method = call.getMethodDescriptor().getFullMethodName();
    running.incrementAndGet();
    boolean[] over = new boolean[1];
    ServerCall<Q, A> counted =
        new SimpleForwardingServerCall<>(call) {
          @Override
          public void close(Status status, Metadata trailers) {
            over(over, method, status.getCode(), began);
            super.close(status, trailers);
          }
        };
    ServerCall.Listener<Q> listener = next.startCall(counted, headers);
    return new io.grpc.ForwardingServerCallListener.SimpleForwardingServerCallListener<>(listener) {
      @Override
      public void onCancel() {
        over(over, method, Status.Code.CANCELLED, began);
        super.onCancel();
      }
    };
  }

  /** Counts a call once, however it ends. */
  private synchronized void over(boolean[] over, String method, Status.Code code, long began) {
    if (over[0]) {
      return;
    }
    over[0] = true;
    running.decrementAndGet();
    double seconds = (System.nanoTime() - began) / 1e9;
    Series one =
        series.computeIfAbsent(
            "method=\"" + method + "\",code=\"" + code + "\"", key -> new Series());
    one.count++;
    one.seconds += seconds;
    for (int b = 0; b < BOUNDS.length; b++) {
      one.within[b] += seconds <= BOUNDS[b] ? 1 : 0;
    }
  }

  /** Running calls. */
  int running() {
    return running.get();
  }

  /** All metrics in the Prometheus text format, version 0.0.4. */
  synchronized String text() {
    StringBuilder text = new StringBuilder();
    Runtime machine = Runtime.getRuntime();
    gauge(text, "takewright_calls_running", "Calls that are running.", running.get());
    gauge(
        text,
        "takewright_heap_used_bytes",
        "Memory of the Java heap in use.",
        machine.totalMemory() - machine.freeMemory());
    gauge(text, "takewright_heap_max_bytes", "Maximum size of the Java heap.", machine.maxMemory());
    gauge(text, "takewright_threads", "Live threads.", Thread.activeCount());
    text.append("# HELP takewright_call_seconds How long calls took, by method and status.\n");
    text.append("# TYPE takewright_call_seconds histogram\n");
    series.forEach(
        (labels, one) -> {
          for (int b = 0; b < BOUNDS.length; b++) {
            bucket(text, labels, String.valueOf(BOUNDS[b]), one.within[b]);
          }
          bucket(text, labels, "+Inf", one.count);
          text.append(
              String.format(
                  Locale.ROOT, "takewright_call_seconds_sum{%s} %.6f%n", labels, one.seconds));
          text.append("takewright_call_seconds_count{" + labels + "} " + one.count + "\n");
        });
    return text.toString().replace(System.lineSeparator(), "\n");
  }

  private static void gauge(StringBuilder text, String name, String help, long value) {
    text.append("# HELP ").append(name).append(' ').append(help).append('\n');
    text.append("# TYPE ").append(name).append(" gauge\n");
    text.append(name).append(' ').append(value).append('\n');
  }

  private static void bucket(StringBuilder text, String labels, String bound, long count) {
    text.append("takewright_call_seconds_bucket{").append(labels);
    text.append(",le=\"").append(bound).append("\"} ").append(count).append('\n');
  }
}
