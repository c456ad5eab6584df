package takewright.service.build;

import com.sun.net.httpserver.Headers;
import com.sun.net.httpserver.HttpExchange;
import com.sun.net.httpserver.HttpServer;
import java.io.IOException;
import java.io.InputStream;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.SecureRandom;
import java.util.HexFormat;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import takewright.diagnosis.ProblemException;
import takewright.service.access.GrantedFolders;

/**
 * Serves the output folders of builds to browsers on this machine, read-only:
 * http://127.0.0.1:PORT/builds/ID/TOKEN/report/index.html. Nothing is served, and no port is open,
 * before a client asks for a build's page.
 *
 * <p>The token is in the address and not in a cookie: a browser sends the cookies of 127.0.0.1 to
 * every port of it, so also to what another user runs there. Addresses are neither logged nor sent
 * on to other sites.
 */
public final class BuildPages implements AutoCloseable {
  private static final String ROOT = "/builds/";

  /** Bytes of a token: 256 bits, beyond guessing. */
  private static final int TOKEN_BYTES = 32;

  /** Requests at a time: as many as a browser opens to one server. */
  private static final int THREADS = 6;

  /** The types of files that a page consists of; others are not served. */
  private static final Map<String, String> TYPES =
      Map.of(
          "html", "text/html; charset=utf-8",
          "js", "text/javascript; charset=utf-8",
          "css", "text/css; charset=utf-8",
          "csv", "text/csv; charset=utf-8",
          "txt", "text/plain; charset=utf-8",
          "wav", "audio/wav");

  /** The page loads nothing from elsewhere; its pictures and sounds are in its data. */
  private static final String POLICY =
      "default-src 'self'; img-src 'self' data:; media-src 'self' data:;"
          + " style-src 'self' 'unsafe-inline'; frame-ancestors 'none'; base-uri 'none';"
          + " form-action 'none'";

  private final GrantedFolders folders;
  private final Map<String, Shown> shown = new ConcurrentHashMap<>();
  private HttpServer server;
  private ExecutorService threads;

  /** An output folder as the build's request named it, and what a browser must know to see it. */
  private record Shown(String folder, String token) {}

  public BuildPages(GrantedFolders folders) {
    this.folders = folders;
  }

  /** Shows the page of a build; its address, the same each time. */
  synchronized String open(BuildRun run) throws IOException {
    if (server == null) {
      server = HttpServer.create(new InetSocketAddress(InetAddress.getLoopbackAddress(), 0), 0);
      threads = Executors.newFixedThreadPool(THREADS, BuildPages::thread);
      server.setExecutor(threads);
      server.createContext(ROOT, this::answer);
      server.start();
    }
    Shown page =
        shown.computeIfAbsent(
            run.id(), id -> new Shown(run.request().getOutputFolder(), newToken()));
    String host = server.getAddress().getAddress().getHostAddress();
    return "http://"
        + (host.indexOf(':') < 0 ? host : "[" + host + "]")
        + ":"
        + server.getAddress().getPort()
        + ROOT
        + run.id()
        + "/"
        + page.token
        + "/report/index.html";
  }

  private static Thread thread(Runnable work) {
    Thread thread = new Thread(work, "build-page");
    thread.setDaemon(true);
    return thread;
  }

  private static String newToken() {
    byte[] random = new byte[TOKEN_BYTES];
    new SecureRandom().nextBytes(random);
    return HexFormat.of().formatHex(random);
  }

  private void answer(HttpExchange exchange) throws IOException {
    try (exchange) {
      String method = exchange.getRequestMethod();
      Headers headers = exchange.getResponseHeaders();
      if (!method.equals("GET") && !method.equals("HEAD")) {
        headers.set("Allow", "GET, HEAD");
        exchange.sendResponseHeaders(405, -1);
        return;
      }
      // All refusals look the same, so an address reveals nothing without the token.
      Path file = file(exchange.getRequestURI().getPath());
      if (file == null) {
        exchange.sendResponseHeaders(404, -1);
        return;
      }
      headers.set("Content-Type", type(file));
      headers.set("Cache-Control", "no-store");
      headers.set("X-Content-Type-Options", "nosniff");
      headers.set("Referrer-Policy", "no-referrer");
      headers.set("Cross-Origin-Resource-Policy", "same-origin");
      headers.set("Content-Security-Policy", POLICY);
      try (InputStream in = Files.newInputStream(file, LinkOption.NOFOLLOW_LINKS)) {
        if (method.equals("HEAD")) {
          exchange.sendResponseHeaders(200, -1);
          return;
        }
        // 0 means unknown length, since the file may be replaced meanwhile.
        exchange.sendResponseHeaders(200, 0);
        in.transferTo(exchange.getResponseBody());
      }
    }
  }

  /** The file of an address, or null if it names none that may be served. */
  private Path file(String address) {
    String[] parts = address.substring(ROOT.length()).split("/", 3);
    Shown page = parts.length == 3 ? shown.get(parts[0]) : null;
    if (page == null || !isToken(parts[1], page.token)) {
      return null;
    }
    try {
      Path folder = folders.folderToWrite("output_folder", page.folder).toRealPath();
      Path file = folder;
      for (String name : parts[2].split("/", -1)) {
        // Hidden files belong to the build; ".." counts as hidden too.
        if (name.isEmpty() || name.startsWith(".") || name.indexOf('\\') >= 0) {
          return null;
        }
        file = file.resolve(name);
      }
      Path real = file.toRealPath();
      boolean inside = real.startsWith(folder) && Files.isRegularFile(real);
      return inside && type(real) != null ? real : null;
    } catch (IOException | InvalidPathException | ProblemException e) {
      return null; // Not there, or no longer granted.
    }
  }

  /** The time taken does not tell the token. */
  private static boolean isToken(String given, String token) {
    return MessageDigest.isEqual(
        given.getBytes(StandardCharsets.UTF_8), token.getBytes(StandardCharsets.UTF_8));
  }

  private static String type(Path file) {
    String name = file.getFileName().toString().toLowerCase(Locale.ROOT);
    return TYPES.get(name.substring(name.lastIndexOf('.') + 1));
  }

  @Override
  public synchronized void close() {
    if (server != null) {
      server.stop(0);
      threads.shutdownNow();
    }
  }
}
