package takewright.service.session;

import java.io.IOException;
import java.nio.file.Path;
import java.security.SecureRandom;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.LongSupplier;
import java.util.function.Supplier;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.library.follow.Follow;
import takewright.service.access.Limits;
import takewright.service.call.CallAudio;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.decision.Verdict;
import takewright.sheet.read.SheetReader;

/**
 * The sessions that are followed, or that wait for a dropped connection to return. Each belongs to
 * one call at a time.
 */
final class Sessions {
  /** How long a session waits for its connection to return: half an hour. */
  static final long KEPT_MS = 30 * 60_000L;

  /** Time for a call to release a session that is taken over: one block of audio and one match. */
  private static final long LET_GO_MS = 5_000;

  /** Time for a call to leave a session that ends: its client hears of a deadline first. */
  private static final long END_MS = 1_000;

  /** Frames replayed at a time. */
  private static final int REPLAY_BLOCK = 4096;

  /** Bytes of a session's id: cannot be guessed. */
  private static final int NAME_BYTES = 16;

  /**
   * Memory of a session, in seconds of audio at 4 bytes a frame: 27 s in ring buffers whose sizes
   * are powers of two, the same again for what is known of them, and half of that for the ear that
   * follows a second behind. 16 waiting sessions at 48 kHz held 344 MB (measured 2026-11-28).
   */
  private static final int SESSION_S = 120;

  private static final String GIVE_ID =
      "give the `session_id` of SessionStarted; a session that was ended is gone";

  private final SessionStore store;
  private final Boards boards;
  private final LongSupplier clockMs;
  private final SecureRandom random = new SecureRandom();
  private final Map<String, Session> sessions = new LinkedHashMap<>();

  /**
   * @param store outlasts this service, or null
   */
  Sessions(SessionStore store, Boards boards) {
    this(store, boards, () -> System.nanoTime() / 1_000_000);
  }

  /** With the given clock, in milliseconds. */
  Sessions(SessionStore store, Boards boards, LongSupplier clockMs) {
    this.store = store;
    this.boards = boards;
    this.clockMs = clockMs;
  }

  /** A session. Only the call that holds it touches its state. */
  static final class Session {
    private final String id;
    private final Followed followed;
    private final SessionHeader header;
    private final long bytes;
    private final KeptSession kept;
    private final Board board;
    private Decided decided = Decided.NOTHING;

    /** The call that holds it, or null. */
    private CallAudio caller;

    private long leftAtMs;

    private Session(
        String id,
        Followed followed,
        SessionHeader header,
        long bytes,
        KeptSession kept,
        Board board) {
      this.id = id;
      this.followed = followed;
      this.header = header;
      this.bytes = bytes;
      this.kept = kept;
      this.board = board;
    }

    String id() {
      return id;
    }

    Follow follow() {
      return followed.follow();
    }

    Followed followed() {
      return followed;
    }

    Board board() {
      return board;
    }

    Decided decided() {
      return decided;
    }

    /** Does what was decided before; the notes must have been heard. */
    private void restore(Decided before) {
      decided = before;
      before.notes().forEach(follow()::decide);
      before.skipped().forEach(cell -> follow().skip(follow().cells().get(cell), true));
    }

    /** A word on a note; returns the notes that changed. */
    List<Follow.Note> decide(int number, Verdict verdict) {
      keep(decided.with(number, verdict));
      return follow().decide(number, verdict);
    }

    /** A word on a cell, by its place among those of the take. */
    void skip(int cell, boolean isSkipped) {
      if (cell >= 0 && cell < follow().cells().size()) {
        keep(decided.withSkipped(cell, isSkipped));
        follow().skip(follow().cells().get(cell), isSkipped);
      }
    }

    private void keep(Decided now) {
      decided = now;
      if (kept != null) {
        kept.keep(now);
      }
    }

    /** Processes frames, and returns the notes that are new or have changed. */
    List<Follow.Note> push(float[][] planar, int count) {
      if (kept != null) {
        kept.append(planar, count);
      }
      return follow().push(planar, count);
    }

    /** What the call that began the session said. */
    SessionHeader header() {
      return header;
    }
  }

  /** Creates the state of a session. */
  interface Beginning {
    Followed begin() throws IOException;
  }

  /** Begins a session, for a call. */
  Session begin(CallAudio caller, SessionHeader header, Beginning beginning) throws IOException {
    byte[] name = new byte[NAME_BYTES];
    random.nextBytes(name);
    String id = HexFormat.of().formatHex(name);
    return add(id, caller, header, beginning, () -> store == null ? null : store.begin(id, header));
  }

  private Session add(
      String id,
      CallAudio caller,
      SessionHeader header,
      Beginning beginning,
      Supplier<KeptSession> keeping)
      throws IOException {
    long bytes = 4L * SESSION_S * header.sampleRate();
    makeRoom(bytes);
    boolean isBegun = false;
    try {
      Followed followed = beginning.begin();
      synchronized (this) {
        forgetOld();
        if (sessions.size() >= Limits.SESSIONS && !putAside()) {
          throw new ProblemException(
              Reason.OVERLOADED,
              "",
              "the service follows " + Limits.SESSIONS + " sessions already",
              "end one of them first");
        }
        Session session = new Session(id, followed, header, bytes, keeping.get(), boards.of(id));
        session.caller = caller;
        sessions.put(id, session);
        isBegun = true;
        return session;
      }
    } finally {
      if (!isBegun) {
        Limits.release(bytes);
      }
    }
  }

  /** Continues a session; a call that still holds it is ended. */
  Session resume(CallAudio caller, String id) throws IOException {
    Session session = takeOver(caller, id);
    if (session == null) {
      KeptSession kept = store == null ? null : store.find(id);
      if (kept == null) {
        throw unknown("config.session_id", "begin a new one, with an empty id");
      }
      session = restore(caller, id, kept);
    }
    return session;
  }

  /** A session of an earlier service, whose audio is replayed. */
  private Session restore(CallAudio caller, String id, KeptSession kept) throws IOException {
    SessionHeader header = kept.header();
    try {
      Session session = add(id, caller, header, () -> replayed(caller, kept), () -> kept);
      session.restore(kept.decided());
      return session;
    } catch (IOException | RuntimeException | Error e) {
      kept.close();
      throw e;
    }
  }

  private static Followed replayed(CallAudio caller, KeptSession kept) throws IOException {
    SessionHeader header = kept.header();
    Sheet sheet = SheetReader.read(Path.of(header.sheetName()), header.sheetText());
    Take take = FollowAdapter.take(sheet, header.take());
    Follow follow = new Follow(sheet, take, header.sampleRate(), header.channels());
    float[][] block = new float[header.channels()][REPLAY_BLOCK];
    for (int n = kept.read(block); n > 0; n = kept.read(block)) {
      caller.stopIfCancelled();
      follow.push(block, n);
    }
    return new Followed(sheet, take, follow);
  }

  /** A session of this service; null if the id is unknown. */
  private synchronized Session takeOver(CallAudio caller, String id) {
    forgetOld();
    Session session = released("config.session_id", id, LET_GO_MS, true);
    if (session != null) {
      session.caller = caller;
    }
    return session;
  }

  /** A session once no call holds it, which may be told to let go; null if it is not there. */
  private Session released(String field, String id, long withinMs, boolean isTakenOver) {
    long giveUp = clockMs.getAsLong() + withinMs;
    Session session = sessions.get(id);
    for (; session != null && session.caller != null; session = sessions.get(id)) {
      if (isTakenOver) {
        session.caller.fail(
            new ProblemException(
                Reason.IN_USE,
                field,
                "was taken over by another call",
                "take the session from there, or begin a new one"));
      }
      long left = giveUp - clockMs.getAsLong();
      if (left <= 0) {
        throw new ProblemException(
            Reason.IN_USE, field, "belongs to a call that has not ended", "try again when it has");
      }
      try {
        wait(left);
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw ProblemException.cancelled();
      }
    }
    return session;
  }

  /** Ends the calls of all sessions, which continue with the next service where they are kept. */
  synchronized void stopWithService() {
    for (Session session : sessions.values()) {
      if (session.caller != null) {
        session.caller.fail(
            new ProblemException(
                Reason.STOPPING,
                "",
                "the service is stopping",
                "continue the session, by its id, once it has restarted"));
      }
    }
  }

  private static ProblemException unknown(String field, String remedy) {
    return new ProblemException(
        Reason.NOT_THERE, field, "is not, or no longer, a session of this service", remedy);
  }

  /** A call about a session that is not there. */
  static ProblemException unknown(String id) {
    return id.isEmpty()
        ? ProblemException.invalid("session_id", "is empty", GIVE_ID)
        : unknown("session_id", GIVE_ID);
  }

  /** Keeps a session whose call was interrupted. */
  synchronized void leave(Session session) {
    session.caller = null;
    session.leftAtMs = clockMs.getAsLong();
    notifyAll();
  }

  /**
   * Keeps a session whose client gave up while it was ended. It goes on from the disk; one that is
   * not kept there is over.
   */
  synchronized void leaveFinished(Session session) {
    session.caller = null;
    leaveMemory(session);
    notifyAll();
  }

  /** Removes a session that has ended. */
  synchronized void end(Session session) {
    session.caller = null;
    forget(session);
    notifyAll();
  }

  /** Forgets a session that no call follows, or that its call lets go of in a moment. */
  synchronized void endWaiting(String id) throws IOException {
    Session session = released("session_id", id, END_MS, false);
    KeptSession kept = session != null || store == null ? null : store.find(id);
    if (session != null) {
      forget(session);
    } else if (kept != null) {
      kept.remove();
    } else {
      throw unknown(id);
    }
  }

  /** Number of running and waiting sessions. */
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

  /** Reserves memory for a session; those that wait for their connection give way. */
  private synchronized void makeRoom(long bytes) {
    while (true) {
      try {
        Limits.hold(bytes);
        return;
      } catch (ProblemException full) {
        if (!putAside()) {
          throw new ProblemException(
              Reason.MEMORY_FULL,
              "",
              "there is no memory for another session beside what runs now",
              "end a session or wait for other calls, or start Java with a larger heap (-Xmx)");
        }
      }
    }
  }

  /**
   * Takes the session that has waited longest for its connection out of memory. It goes on from the
   * disk when its connection returns; one that is not kept there ends.
   */
  private boolean putAside() {
    Session oldest = null;
    for (Session session : sessions.values()) {
      if (session.caller == null && (oldest == null || session.leftAtMs < oldest.leftAtMs)) {
        oldest = session;
      }
    }
    if (oldest == null) {
      return false;
    }
    leaveMemory(oldest);
    return true;
  }

  private void leaveMemory(Session session) {
    if (session.kept == null) {
      forget(session);
    } else if (sessions.remove(session.id) != null) {
      Limits.release(session.bytes);
      session.kept.close();
    }
  }

  private void forget(Session session) {
    if (sessions.remove(session.id) != null) {
      Limits.release(session.bytes);
      if (session.kept != null) {
        session.kept.remove();
      }
    }
  }
}
