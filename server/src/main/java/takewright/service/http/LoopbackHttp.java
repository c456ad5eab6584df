package takewright.service.http;

import com.sun.net.httpserver.HttpExchange;
import com.sun.net.httpserver.HttpHandler;
import com.sun.net.httpserver.HttpServer;
import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.util.Set;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;

/** An HTTP server that only this machine can reach. */
public final class LoopbackHttp implements AutoCloseable {
  /**
   * Seconds for a request to arrive whole, head and body. A client that sends half of one would
   * hold a thread for as long as it likes.
   */
  private static final int REQUEST_S = 10;

  static {
    // The JDK's server reads these once, when its classes are loaded.
    if (System.getProperty("sun.net.httpserver.maxReqTime") == null) {
      System.setProperty("sun.net.httpserver.maxReqTime", Integer.toString(REQUEST_S));
    }
  }

  private final HttpServer server;
  private final ExecutorService threads;

  private LoopbackHttp(HttpServer server, ExecutorService threads) {
    this.server = server;
    this.threads = threads;
  }

  /**
   * Starts a server.
   *
   * @param port TCP port, 0 for one that is free
   * @param name of its threads
   * @param atOnce requests that are answered at a time; further ones wait
   * @param root path below which it answers
   */
  public static LoopbackHttp open(
      int port, String name, int atOnce, String root, HttpHandler handler) throws IOException {
    HttpServer server =
        HttpServer.create(new InetSocketAddress(InetAddress.getLoopbackAddress(), port), 0);
    ExecutorService threads =
        Executors.newFixedThreadPool(
            atOnce,
            work -> {
              Thread thread = new Thread(work, name);
              thread.setDaemon(true);
              return thread;
            });
    server.setExecutor(threads);
    server.createContext(root, exchange -> answer(exchange, handler));
    server.start();
    return new LoopbackHttp(server, threads);
  }

  private static void answer(HttpExchange exchange, HttpHandler handler) throws IOException {
    try (exchange) {
      if (isForThisMachine(exchange)) {
        handler.handle(exchange);
      } else {
        exchange.sendResponseHeaders(403, -1);
      }
    }
  }

  /**
   * A page of another site can make its name lead to this machine (DNS rebinding), and its script
   * can then read what is answered; the Host header still names that site.
   */
  private static boolean isForThisMachine(HttpExchange exchange) {
    String host = exchange.getRequestHeaders().getFirst("Host");
    if (host == null) {
      return false;
    }
    String name = host.replaceFirst(":[0-9]+$", "");
    return Set.of("127.0.0.1", "localhost", "[::1]").contains(name);
  }

  /** The TCP port. */
  public int port() {
    return server.getAddress().getPort();
  }

  /** Its address, such as "http://127.0.0.1:7172". */
  public String address() {
    String host = server.getAddress().getAddress().getHostAddress();
    return "http://" + (host.indexOf(':') < 0 ? host : "[" + host + "]") + ":" + port();
  }

  @Override
  public void close() {
    server.stop(0);
    threads.shutdownNow();
  }
}
