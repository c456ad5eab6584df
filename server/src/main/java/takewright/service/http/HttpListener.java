package takewright.service.http;

import com.sun.net.httpserver.HttpExchange;
import com.sun.net.httpserver.HttpHandler;
import com.sun.net.httpserver.HttpServer;
import com.sun.net.httpserver.HttpsConfigurator;
import com.sun.net.httpserver.HttpsServer;
import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.UnknownHostException;
import java.util.Set;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import javax.net.ssl.SSLContext;

/** A small HTTP server: for this machine alone, or with TLS for others too. */
public final class HttpListener implements AutoCloseable {
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

  private HttpListener(HttpServer server, ExecutorService threads) {
    this.server = server;
    this.threads = threads;
  }

  /**
   * Where a server listens.
   *
   * @param address beyond loopback only with TLS
   * @param port TCP port, 0 for one that is free
   * @param tls its certificate and key; null for none
   */
  public record ListenAddress(InetAddress address, int port, SSLContext tls) {
    public ListenAddress {
      if (!address.isLoopbackAddress() && tls == null) {
        throw new IllegalArgumentException(address + " can be reached from other machines");
      }
    }

    /** On this machine alone. */
    public static ListenAddress onLoopback(int port) {
      return new ListenAddress(InetAddress.getLoopbackAddress(), port, null);
    }
  }

  /**
   * Starts a server.
   *
   * @param name of its threads
   * @param atOnce requests that are answered at a time; further ones wait
   * @param root path below which it answers
   */
  public static HttpListener open(
      ListenAddress place, String name, int atOnce, String root, HttpHandler handler)
      throws IOException {
    InetSocketAddress address = new InetSocketAddress(place.address, place.port);
    HttpServer server;
    if (place.tls == null) {
      server = HttpServer.create(address, 0);
    } else {
      HttpsServer secure = HttpsServer.create(address, 0);
      secure.setHttpsConfigurator(new HttpsConfigurator(place.tls));
      server = secure;
    }
    ExecutorService threads =
        Executors.newFixedThreadPool(
            atOnce,
            work -> {
              Thread thread = new Thread(work, name);
              thread.setDaemon(true);
              return thread;
            });
    server.setExecutor(threads);
    boolean isLocal = place.address.isLoopbackAddress();
    server.createContext(root, exchange -> answer(exchange, isLocal, handler));
    server.start();
    return new HttpListener(server, threads);
  }

  private static void answer(HttpExchange exchange, boolean isLocal, HttpHandler handler)
      throws IOException {
    try (exchange) {
      if (!isLocal || isForThisMachine(exchange)) {
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
    InetAddress at = server.getAddress().getAddress();
    String host = at.isAnyLocalAddress() ? hostName() : at.getHostAddress();
    return (server instanceof HttpsServer ? "https://" : "http://")
        + (host.indexOf(':') < 0 ? host : "[" + host + "]")
        + ":"
        + port();
  }

  /** What other machines may call this one. */
  private static String hostName() {
    try {
      return InetAddress.getLocalHost().getHostName();
    } catch (UnknownHostException e) {
      return "localhost";
    }
  }

  @Override
  public void close() {
    server.stop(0);
    threads.shutdownNow();
  }
}
