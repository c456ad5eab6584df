package takewright.service.build;

import com.fasterxml.jackson.databind.ObjectMapper;
import com.sun.net.httpserver.Headers;
import com.sun.net.httpserver.HttpExchange;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.io.InputStream;
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
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import java.util.function.Supplier;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import takewright.audio.original.OriginalFileException;
import takewright.diagnosis.ProblemException;
import takewright.library.folder.Changes;
import takewright.service.http.HttpListener;
import takewright.service.wire.Failures;
import takewright.v1.BuildChanges;
import takewright.v1.Rebuilt;

/**
 * Serves the output folders of builds to browsers on this machine:
 * http://127.0.0.1:PORT/builds/ID/TOKEN/report/index.html. Nothing is served, and no port is open,
 * before a client asks for a build's page. All is read-only but {@code decisions}, to which the
 * page posts what was decided on it.
 *
 * <p>The token is in the address and not in a cookie: a browser sends the cookies of 127.0.0.1 to
 * every port of it, so also to what another user runs there. Addresses are neither logged nor sent
 * on to other sites.
 */
public final class BuildPages implements AutoCloseable {
  private static final Logger LOG = LoggerFactory.getLogger(BuildPages.class);

  private static final String ROOT = "/builds/";

  private static final ObjectMapper JSON = new ObjectMapper();

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

  private static final String PAGE = "report/index.html";

  /** Stands there until the build has begun to write the page. */
  private static final byte[] SOON =
      ("<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta http-equiv=\"refresh\""
              + " content=\"1\"><link rel=\"icon\" href=\"data:,\"><title>Takewright</title><p>The build begins …</html>")
          .getBytes(StandardCharsets.UTF_8);

  /** Samples as they were before the last build; all else that is hidden stays so. */
  private static final String EARLIER = Changes.BEFORE + "/";

  /** Of the page: where it reads and posts decisions. */
  private static final String DECISIONS = "decisions";

  /** Thousands of decisions need less, in bytes. */
  private static final int MAX_DECISIONS = 4 << 20;

  /** Of the page: what came of the last build again. */
  private static final String REBUILT = "rebuilt";

  /** Sheets are looked at this often, in milliseconds: an edit is built before a hand has moved. */
  private static final long LOOK_MS = 300;

  private final Map<String, Shown> shown = new ConcurrentHashMap<>();
  private final ScheduledExecutorService looking =
      Executors.newSingleThreadScheduledExecutor(
          work -> {
            Thread thread = new Thread(work, "sheet-edits");
            thread.setDaemon(true);
            return thread;
          });
  private HttpListener listener;

  /** A page and what a browser must know to see it. */
  private record Shown(LivePage page, String token) {}

  /** What an address asks for. */
  private record Asked(LivePage page, String rest) {}

  /**
   * A page that is shown.
   *
   * @param address where, the same each time it is opened
   */
  record OpenPage(LivePage page, String address) {}

  /**
   * Shows the page of a build.
   *
   * @param id the build's
   * @param page makes the page if it is not shown yet
   */
  synchronized OpenPage open(String id, Supplier<LivePage> page) throws IOException {
    if (listener == null) {
      listener =
          HttpListener.open(
              HttpListener.ListenAddress.onLoopback(0), "build-page", THREADS, ROOT, this::answer);
      looking.scheduleWithFixedDelay(this::look, LOOK_MS, LOOK_MS, TimeUnit.MILLISECONDS);
    }
    Shown one = shown.computeIfAbsent(id, made -> new Shown(page.get(), newToken()));
    return new OpenPage(one.page, listener.address() + ROOT + id + "/" + one.token + "/" + PAGE);
  }

  private static String newToken() {
    byte[] random = new byte[TOKEN_BYTES];
    new SecureRandom().nextBytes(random);
    return HexFormat.of().formatHex(random);
  }

  private void look() {
    for (Shown one : shown.values()) {
      try {
        one.page.look();
      } catch (RuntimeException e) {
        LOG.warn("a sheet could not be looked at: {}", e.toString());
      }
    }
  }

  private void answer(HttpExchange exchange) throws IOException {
    String method = exchange.getRequestMethod();
    Asked asked = asked(exchange.getRequestURI().getPath());
    if (asked != null) {
      asked.page.asked();
    }
    boolean isDecisions = asked != null && asked.rest.equals(DECISIONS);
    if (isDecisions && method.equals("POST")) {
      decide(exchange, asked.page);
    } else if (!method.equals("GET") && !method.equals("HEAD")) {
      exchange.getResponseHeaders().set("Allow", isDecisions ? "GET, HEAD, POST" : "GET, HEAD");
      exchange.sendResponseHeaders(405, -1);
    } else if (isDecisions) {
      say(exchange, 200, Map.of("file", asked.page.decisions().toString()));
    } else if (asked != null && asked.rest.equals(REBUILT)) {
      say(exchange, 200, rebuilt(asked.page.latest()));
    } else if (asked != null) {
      show(exchange, asked);
    } else {
      // All refusals look the same, so an address reveals nothing without the token.
      exchange.sendResponseHeaders(404, -1);
    }
  }

  /** What an address asks for, or null if nothing may be seen there. */
  private Asked asked(String address) {
    String[] parts = address.substring(ROOT.length()).split("/", 3);
    Shown one = parts.length == 3 ? shown.get(parts[0]) : null;
    return one == null || !isToken(parts[1], one.token) ? null : new Asked(one.page, parts[2]);
  }

  /** Saves what the page posts. Says what is wrong with it in words that the page shows. */
  private void decide(HttpExchange exchange, LivePage page) throws IOException {
    String origin = exchange.getRequestHeaders().getFirst("Origin");
    byte[] text = exchange.getRequestBody().readNBytes(MAX_DECISIONS + 1);
    if (origin != null && !origin.equals(listener.address())) {
      exchange.sendResponseHeaders(404, -1);
      return;
    }
    if (text.length > MAX_DECISIONS) {
      say(exchange, 413, Map.of("error", "there are more than 4 MiB of decisions"));
      return;
    }
    try {
      page.decide(text);
      say(exchange, 200, Map.of("file", page.decisions().toString()));
    } catch (OriginalFileException e) {
      String error = e.getFile() + ": " + e.what() + "; move it away, and decide again";
      say(exchange, 409, Map.of("error", error));
    } catch (IOException | RuntimeException e) {
      say(exchange, 400, Map.of("error", Failures.of(e).text()));
    }
  }

  /** What the page says of the last build again. */
  private static Map<String, Object> rebuilt(LivePage.Latest latest) {
    Rebuilt last = latest.rebuilt();
    if (last == null) {
      return Map.of("number", 0);
    }
    BuildChanges changes = last.getResult().getChanges();
    String sheet = last.getEditedSheet();
    return Map.of(
        "number", latest.number(),
        "sheet", sheet.isEmpty() ? "" : Path.of(sheet).getFileName().toString(),
        "error", last.getError(),
        "samples", last.getResult().getSamples(),
        "added", changes.getSamplesAdded(),
        "changed", changes.getSamplesChanged(),
        "vanished", changes.getSamplesVanished());
  }

  private static void say(HttpExchange exchange, int status, Map<String, ?> what)
      throws IOException {
    guard(exchange.getResponseHeaders(), "application/json; charset=utf-8");
    byte[] content = JSON.writeValueAsBytes(what);
    exchange.sendResponseHeaders(status, content.length);
    exchange.getResponseBody().write(content);
  }

  private static void guard(Headers headers, String type) {
    headers.set("Content-Type", type);
    headers.set("Cache-Control", "no-store");
    headers.set("X-Content-Type-Options", "nosniff");
    headers.set("Referrer-Policy", "no-referrer");
    headers.set("Cross-Origin-Resource-Policy", "same-origin");
    headers.set("Content-Security-Policy", POLICY);
  }

  private void show(HttpExchange exchange, Asked asked) throws IOException {
    Path file = file(asked);
    byte[] made = null;
    String type = file == null ? TYPES.get("js") : type(file);
    if (file == null && asked.rest.equals(PAGE)) {
      made = SOON;
      type = TYPES.get("html");
    } else if (file == null) {
      made = made(asked);
    }
    if (file == null && made == null) {
      exchange.sendResponseHeaders(404, -1);
      return;
    }
    guard(exchange.getResponseHeaders(), type);
    try (InputStream in =
        file == null
            ? new ByteArrayInputStream(made)
            : Files.newInputStream(file, LinkOption.NOFOLLOW_LINKS)) {
      if (exchange.getRequestMethod().equals("HEAD")) {
        exchange.sendResponseHeaders(200, -1);
        return;
      }
      // 0 means unknown length, since the file may be replaced meanwhile.
      exchange.sendResponseHeaders(200, 0);
      in.transferTo(exchange.getResponseBody());
    }
  }

  /** A part of the page that is made as it is asked for; null if there is none. */
  private static byte[] made(Asked asked) {
    String[] parts = asked.rest.split("/");
    if (parts.length != 3 || !parts[0].equals("report")) {
      return null;
    }
    try {
      return asked.page.script(parts[1], parts[2]);
    } catch (IOException e) {
      return null; // The take is no longer where it was.
    }
  }

  /** The file of an address, or null if it names none that may be served. */
  private static Path file(Asked asked) {
    try {
      Path folder = asked.page.folder().toRealPath();
      Path file = folder;
      boolean isEarlier = asked.rest.startsWith(EARLIER) && asked.rest.endsWith(".wav");
      String rest = isEarlier ? asked.rest.substring(EARLIER.length()) : asked.rest;
      file = isEarlier ? file.resolve(EARLIER) : file;
      for (String name : rest.split("/", -1)) {
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
    looking.shutdownNow();
    shown.values().forEach(one -> one.page.close());
    if (listener != null) {
      listener.close();
    }
  }
}
