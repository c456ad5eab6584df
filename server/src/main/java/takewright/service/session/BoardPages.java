package takewright.service.session;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.sun.net.httpserver.Headers;
import com.sun.net.httpserver.HttpExchange;
import java.io.FileNotFoundException;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.Map;
import takewright.service.http.HttpListener;
import takewright.sheet.decision.Verdict;

/**
 * Serves the boards of sessions to browsers: {@code /board/TOKEN/}. The page asks for the state
 * several times a second, so that a dropped connection or a restarted service only lets it wait.
 *
 * <p>The token is in the address, like that of a build's page. Beyond this machine the service's
 * own certificate is used.
 */
public final class BoardPages implements AutoCloseable {
  private static final String ROOT = "/board/";

  /** Requests at a time: a tablet on the stand, one at the desk, and some to spare. */
  private static final int AT_ONCE = 8;

  /** A decision is a line; in bytes. */
  private static final int MAX_BODY = 4096;

  private static final ObjectMapper JSON = new ObjectMapper();

  private static final Map<String, String> TYPES =
      Map.of(
          "board.html", "text/html; charset=utf-8",
          "board.js", "text/javascript; charset=utf-8",
          "board.css", "text/css; charset=utf-8");

  private final Boards boards = new Boards();
  private final HttpListener.ListenAddress place;
  private HttpListener listener;

  /**
   * @param place where the boards are shown; nothing listens there before it is asked for
   */
  public BoardPages(HttpListener.ListenAddress place) {
    this.place = place;
  }

  Boards boards() {
    return boards;
  }

  /** Listens, so that browsers that were open before the service was started again find it. */
  public synchronized void listen() throws IOException {
    if (listener == null) {
      listener = HttpListener.open(place, "session-board", AT_ONCE, ROOT, this::answer);
    }
  }

  /** The address of a session's board. */
  String open(String sessionId) throws IOException {
    listen();
    return listener.address() + ROOT + Boards.token(sessionId) + "/";
  }

  private void answer(HttpExchange exchange) throws IOException {
    String[] parts = exchange.getRequestURI().getPath().substring(ROOT.length()).split("/", 2);
    Board board = parts.length == 2 ? boards.find(parts[0]) : null;
    // All refusals look the same, so an address reveals nothing without the token.
    if (board == null) {
      exchange.sendResponseHeaders(404, -1);
      return;
    }
    String method = exchange.getRequestMethod();
    String name = parts[1].isEmpty() ? "board.html" : parts[1];
    if (method.equals("POST") && name.equals("decide")) {
      decide(exchange, board);
    } else if (method.equals("GET") && name.equals("state")) {
      String json = board.json(known(exchange.getRequestURI().getQuery()));
      send(exchange, "application/json", json.getBytes(StandardCharsets.UTF_8));
    } else if (method.equals("GET") && TYPES.containsKey(name)) {
      send(exchange, TYPES.get(name), resource(name));
    } else {
      exchange.sendResponseHeaders(404, -1);
    }
  }

  /** The version in "known=12"; -1 for none. */
  private static int known(String query) {
    try {
      return query == null ? -1 : Integer.parseInt(query.replaceFirst("^known=", ""));
    } catch (NumberFormatException e) {
      return -1;
    }
  }

  private static void decide(HttpExchange exchange, Board board) throws IOException {
    byte[] body = exchange.getRequestBody().readNBytes(MAX_BODY);
    Board.Touch touch = touch(body);
    boolean isDone = touch != null && board.touch(touch);
    exchange.sendResponseHeaders(touch == null ? 400 : isDone ? 204 : 429, -1);
  }

  /** A decision, or null if it is none. */
  private static Board.Touch touch(byte[] body) throws IOException {
    JsonNode said;
    try {
      said = JSON.readTree(body);
    } catch (com.fasterxml.jackson.core.JsonProcessingException e) {
      return null;
    }
    if (said.path("note").isInt()) {
      return switch (said.path("verdict").asText()) {
        case "keep" -> new Board.Touch(said.get("note").intValue(), Verdict.KEEP, -1, false);
        case "drop" -> new Board.Touch(said.get("note").intValue(), Verdict.DROP, -1, false);
        case "as_heard" ->
            new Board.Touch(said.get("note").intValue(), Verdict.AS_HEARD, -1, false);
        default -> null;
      };
    }
    return said.path("cell").isInt() && said.path("skip").isBoolean()
        ? new Board.Touch(0, null, said.get("cell").intValue(), said.get("skip").booleanValue())
        : null;
  }

  private static byte[] resource(String name) throws IOException {
    String path = "/takewright/board/" + name;
    try (InputStream in = BoardPages.class.getResourceAsStream(path)) {
      if (in == null) {
        throw new FileNotFoundException(
            "a part of the program is missing: " + path + "; build the program again");
      }
      return in.readAllBytes();
    }
  }

  private static void send(HttpExchange exchange, String type, byte[] content) throws IOException {
    Headers headers = exchange.getResponseHeaders();
    headers.set("Content-Type", type);
    headers.set("Cache-Control", "no-store");
    headers.set("X-Content-Type-Options", "nosniff");
    headers.set("Referrer-Policy", "no-referrer");
    headers.set(
        "Content-Security-Policy",
        "default-src 'self'; img-src data:; frame-ancestors 'none'; base-uri 'none'; form-action 'none'");
    exchange.sendResponseHeaders(200, content.length);
    exchange.getResponseBody().write(content);
  }

  @Override
  public synchronized void close() {
    if (listener != null) {
      listener.close();
    }
  }
}
