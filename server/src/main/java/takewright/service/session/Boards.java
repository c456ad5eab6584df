package takewright.service.session;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.Map;

/** The boards of sessions, by the tokens in their addresses. */
final class Boards {
  /** Boards kept: those of the sessions that run, and of some that have ended. */
  private static final int KEPT = 64;

  private final Map<String, Board> boards =
      new LinkedHashMap<>() {
        @Override
        protected boolean removeEldestEntry(Map.Entry<String, Board> eldest) {
          return size() > KEPT;
        }
      };

  /** The board of a session; made if it is not there. */
  synchronized Board of(String sessionId) {
    return boards.computeIfAbsent(token(sessionId), token -> new Board());
  }

  /** Whether there is a board of a session. */
  synchronized boolean knows(String sessionId) {
    return boards.containsKey(token(sessionId));
  }

  /** Closes the board of a session. */
  synchronized void forget(String sessionId) {
    boards.remove(token(sessionId));
  }

  /** The board of a token, or null. */
  synchronized Board find(String token) {
    return boards.get(token);
  }

  /**
   * What a browser must know to see a session's board. It follows from the session's id, which
   * cannot be guessed, so that it is the same after a restart of the service; the id does not
   * follow from it.
   */
  static String token(String sessionId) {
    try {
      byte[] digest =
          MessageDigest.getInstance("SHA-256")
              .digest(("board " + sessionId).getBytes(StandardCharsets.US_ASCII));
      return HexFormat.of().formatHex(digest);
    } catch (NoSuchAlgorithmException e) {
      throw new AssertionError("every Java has SHA-256", e);
    }
  }
}
