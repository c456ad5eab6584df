package takewright.service;

import com.sun.net.httpserver.HttpServer;
import java.io.IOException;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.nio.charset.StandardCharsets;

/** Answers http://127.0.0.1:PORT/metrics, to this machine alone. */
final class MetricsPage implements AutoCloseable {
  private final HttpServer server;

  private MetricsPage(HttpServer server) {
    this.server = server;
  }

  static MetricsPage open(int port, Metrics metrics) throws IOException {
    HttpServer server =
        HttpServer.create(new InetSocketAddress(InetAddress.getLoopbackAddress(), port), 0);
    server.createContext(
        "/metrics",
        exchange -> {
          try (exchange) {
            if (!exchange.getRequestMethod().equals("GET")) {
              exchange.sendResponseHeaders(405, -1);
              return;
            }
            byte[] text = metrics.text().getBytes(StandardCharsets.UTF_8);
            exchange.getResponseHeaders().set("Content-Type", "text/plain; version=0.0.4");
            exchange.sendResponseHeaders(200, text.length);
            try (OutputStream out = exchange.getResponseBody()) {
              out.write(text);
            }
          }
        });
    server.start();
    return new MetricsPage(server);
  }

  int port() {
    return server.getAddress().getPort();
  }

  @Override
  public void close() {
    server.stop(0);
  }
}
