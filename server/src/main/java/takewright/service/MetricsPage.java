package takewright.service;

import com.sun.net.httpserver.HttpExchange;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import takewright.service.http.HttpListener;

/** Answers http://127.0.0.1:PORT/metrics, to this machine alone. */
final class MetricsPage implements AutoCloseable {
  private static final String PATH = "/metrics";

  /** Requests at a time: few programs ask, and one that is slow must not keep the others out. */
  private static final int AT_ONCE = 4;

  private final Metrics metrics;
  private final HttpListener listener;

  private MetricsPage(int port, Metrics metrics) throws IOException {
    this.metrics = metrics;
    listener =
        HttpListener.open(
            HttpListener.ListenAddress.onLoopback(port), "metrics", AT_ONCE, PATH, this::answer);
  }

  static MetricsPage open(int port, Metrics metrics) throws IOException {
    return new MetricsPage(port, metrics);
  }

  private void answer(HttpExchange exchange) throws IOException {
    if (!exchange.getRequestURI().getPath().equals(PATH)) {
      exchange.sendResponseHeaders(404, -1);
    } else if (!exchange.getRequestMethod().equals("GET")) {
      exchange.getResponseHeaders().set("Allow", "GET");
      exchange.sendResponseHeaders(405, -1);
    } else {
      byte[] text = metrics.text().getBytes(StandardCharsets.UTF_8);
      exchange.getResponseHeaders().set("Content-Type", "text/plain; version=0.0.4");
      exchange.sendResponseHeaders(200, text.length);
      exchange.getResponseBody().write(text);
    }
  }

  int port() {
    return listener.port();
  }

  @Override
  public void close() {
    listener.close();
  }
}
