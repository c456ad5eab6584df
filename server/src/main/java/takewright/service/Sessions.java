package takewright.service;

import java.security.SecureRandom;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.function.LongSupplier;
import takewright.library.Follow;

/**
 * The sessions that are followed, or that wait for a dropped connection to come back. Each belongs
 * to one call at a time.
 */
final class Sessions {
  /** More than one studio has; each holds some tens of megabytes at the highest rates. */
  static final int MOST = 16;

  /** How long a session waits for its connection to come back: half an hour. */
  static final long KEPT_MS = 30 * 60_000L;

  /** How long a call that is taken over gets to let go: a block of audio and a match. */
  private static final long LET_GO_MS = 5_000;

  /** Bytes of a session's name: beyond guessing. */
  private static final int NAME_BYTES = 16;

  private final LongSupplier clockMs;
  private final SecureRandom random = new SecureRandom();
  private final Map<String, Session> sessions = new LinkedHashMap<>();

  Sessions() {
    this(() -> System.nanoTime() / 1_000_000);
  }

  /** With a clock of one's own, in milliseconds. */
  Sessions(LongSupplier clockMs) {
    this.clockMs = clockMs;
  }

  /** A session. What it holds is touched only by the call that has it. */
  static final class Session {
    private final String id;
    private final Follow follow;
    private final String take;
    private final int sampleRate;
    private final int channels;
    private final long bytes;

    /** The call that has it, or null. */
    private CallAudio caller;

    private long leftAtMs;

    private Session(
        String id, Follow follow, String take, int sampleRate, int channels, long bytes) {
      this.id = id;
      this.follow = follow;
      this.take = take;
      this.sampleRate = sampleRate;
      this.channels = channels;
      this.bytes = bytes;
    }

    String id() {
      return id;
    }

    Follow follow() {
      return follow;
    }

    /** The take as the call that began the session named it. */
    String take() {
      return take;
    }

    int sampleRate() {
      return sampleRate;
    }

    int channels() {
      return channels;
    }
  }

  /** What makes the state of a new session. */
  interface Beginning {
    Follow begin();
  }

  /** Begins a session, for a call. */
  synchronized Session begin(
      CallAudio caller, String take, int sampleRate, int channels, Beginning beginning) {
    forgetOld();
    if (sessions.size() >= MOST && !forgetOne()) {
      throw Refusal.exhausted(
          "the service follows " + MOST + " sessions already: end one of them first");
    }
    // 27 s of audio in rings whose sizes are powers of two, and as much again for the rest.
    long bytes = 4L * 80 * sampleRate;
    Limits.hold(bytes);
    boolean begun = false;
    try {
      byte[] name = new byte[NAME_BYTES];
      random.nextBytes(name);
      String id = HexFormat.of().formatHex(name);
      Session session = new Session(id, beginning.begin(), take, sampleRate, channels, bytes);
      session.caller = caller;
      sessions.put(id, session);
      begun = true;
      return session;
    } finally {
      if (!begun) {
        Limits.release(bytes);
      }
    }
  }

  /** Goes on with a session; a call that still has it is ended. */
  synchronized Session resume(CallAudio caller, String id) {
    forgetOld();
    Session session = known(id);
    long giveUp = clockMs.getAsLong() + LET_GO_MS;
    while (session.caller != null) {
      session.caller.fail(Refusal.aborted("another call went on with this session"));
      long left = giveUp - clockMs.getAsLong();
      if (left <= 0) {
        throw Refusal.aborted(
            "`config.session_id`: the call that has the session does not end: try again");
      }
      try {
        wait(left);
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw Refusal.cancelled();
      }
      session = known(id);
    }
    session.caller = caller;
    return session;
  }

  private Session known(String id) {
    Session session = sessions.get(id);
    if (session == null) {
      throw Refusal.notFound(
          "`config.session_id`: the service has no such session (any more): begin a new one, with"
              + " an empty id");
    }
    return session;
  }

  /** Keeps a session whose call ended too early. */
  synchronized void leave(Session session) {
    session.caller = null;
    session.leftAtMs = clockMs.getAsLong();
    notifyAll();
  }

  /** Forgets a session that is over. */
  synchronized void end(Session session) {
    session.caller = null;
    forget(session);
    notifyAll();
  }

  /** Sessions that run or wait. */
  synchronized int count() {
    forgetOld();
    return sessions.size();
  }

  private void forgetOld() {
    long now = clockMs.getAsLong();
    sessions.values().stream()
        .filter(s -> s.caller == null && now - s.leftAtMs > KEPT_MS)
        .toList()
        .forEach(this::forget);
  }

  /** Makes room: of those that wait, the one left first goes. */
  private boolean forgetOne() {
    Session oldest = null;
    for (Session session : sessions.values()) {
      if (session.caller == null && (oldest == null || session.leftAtMs < oldest.leftAtMs)) {
        oldest = session;
      }
    }
    if (oldest != null) {
      forget(oldest);
    }
    return oldest != null;
  }

  private void forget(Session session) {
    if (sessions.remove(session.id) != null) {
      Limits.release(session.bytes);
    }
  }
}
