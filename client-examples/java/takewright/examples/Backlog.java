package takewright.examples;

import com.google.protobuf.ByteString;
import java.io.IOException;
import java.io.InputStream;
import java.util.ArrayDeque;
import java.util.function.BooleanSupplier;

/**
 * The latest audio of a recorder. It never holds up the recorder: what does not fit any more is
 * dropped.
 */
final class Backlog {
  /** Audio that is kept for a service that is gone, in bytes. */
  private static final int MAX_BYTES = 64 << 20;

  private final ArrayDeque<ByteString> pieces = new ArrayDeque<>();
  private long start;
  private long end;
  private boolean isEnded;

  /** Audio that the service wants is no longer kept. */
  static final class Dropped extends RuntimeException {
    private static final long serialVersionUID = 1;
  }

  /** Takes what arrives until the source ends. */
  void fill(InputStream source) {
    byte[] piece = new byte[Sound.CHUNK_BYTES];
    try {
      for (int n; (n = source.read(piece)) >= 0; ) {
        add(ByteString.copyFrom(piece, 0, n));
      }
    } catch (IOException e) {
      System.err.println("takewright: standard input failed: " + e.getMessage());
    }
    synchronized (this) {
      isEnded = true;
      notifyAll();
    }
  }

  private synchronized void add(ByteString piece) {
    pieces.add(piece);
    end += piece.size();
    while (end - start > MAX_BYTES) {
      start += pieces.remove().size();
    }
    notifyAll();
  }

  /** Position of the oldest byte that is kept. */
  synchronized long start() {
    return start;
  }

  /**
   * Audio from a position on, as soon as there is some; null after its end, or once the call is
   * over.
   */
  synchronized ByteString next(long position, BooleanSupplier isOver) throws InterruptedException {
    while (!isEnded && position >= end && !isOver.getAsBoolean()) {
      wait(200);
    }
    if (position < start) {
      throw new Dropped();
    }
    long at = start;
    for (ByteString piece : pieces) {
      if (isOver.getAsBoolean()) {
        return null;
      }
      if (position < at + piece.size()) {
        return piece.substring((int) (position - at));
      }
      at += piece.size();
    }
    return null;
  }
}
