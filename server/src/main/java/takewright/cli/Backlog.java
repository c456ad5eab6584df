package takewright.cli;

import java.io.IOException;
import java.util.Arrays;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.BooleanSupplier;

/**
 * The audio of a session between who records it and the service: what was not sent yet, and the
 * last of what was, which a service that is gone may not have heard. Positions are bytes from the
 * start of the take.
 *
 * <p>Audio that arrives as it is played cannot wait: a recorder that is held up loses it. So a live
 * source is always read on, and when too much has gathered the oldest audio is given up, which
 * {@link #oldest} tells. A source that is faster than life is no recorder, and waits.
 */
final class Backlog {
  /** Gathered at most: eight minutes of two channels of 24 bits at 48 kHz. */
  static final int MAX_BYTES = 128 << 20;

  /** Of a source that can wait, unsent: more only takes memory. */
  private static final int AHEAD_BYTES = 4 << 20;

  /**
   * Kept of what was sent: windows and buffers on the way hold some megabytes, and a machine that
   * stops loses the last second, which at the highest rates is 25 MB.
   */
  private static final int KEPT_BYTES = 32 << 20;

  /** Faster than life by so much, after a first burst of two seconds, is no recorder. */
  private static final double NOT_LIVE = 1.5;

  private static final double BURST_S = 2;

  private final int max;
  private final double bytesPerSecond;
  private final long beganNs = System.nanoTime();

  /** By where they begin. */
  private final TreeMap<Long, byte[]> pieces = new TreeMap<>();

  private long end;
  private long sent;
  private boolean isOver;
  private IOException failure;

  /**
   * @param bytesPerSecond of audio as it is played; 0 if the source can wait however fast it is
   */
  Backlog(double bytesPerSecond) {
    this(bytesPerSecond, MAX_BYTES);
  }

  /** One that holds so many bytes. */
  Backlog(double bytesPerSecond, int max) {
    this.bytesPerSecond = bytesPerSecond;
    this.max = max;
  }

  /** Adds audio, at least a byte; waits for what was added to be sent where the source can wait. */
  synchronized void add(byte[] piece) throws InterruptedException {
    while (end - sent >= Math.min(AHEAD_BYTES, max) && !isLive()) {
      wait();
    }
    pieces.put(end, piece);
    end += piece.length;
    trim();
    notifyAll();
  }

  private boolean isLive() {
    double seconds = (System.nanoTime() - beganNs) / 1e9;
    return end <= bytesPerSecond * (BURST_S + NOT_LIVE * seconds);
  }

  private void trim() {
    while (pieces.size() > 1) {
      long next = pieces.higherKey(pieces.firstKey());
      boolean isSpare = sent - next >= Math.min(KEPT_BYTES, max / 2);
      if (!isSpare && end - pieces.firstKey() <= max) {
        return;
      }
      pieces.pollFirstEntry();
    }
  }

  /** No more will come, for this reason or, if null, because the take is over. */
  synchronized void end(IOException why) {
    isOver = true;
    failure = why;
    notifyAll();
  }

  /** The first position that is still here. */
  synchronized long oldest() {
    return pieces.isEmpty() ? end : pieces.firstKey();
  }

  /** Has who waits look whether there is still need to. */
  synchronized void wake() {
    notifyAll();
  }

  /** Waits for something that {@link #wake} tells of. */
  synchronized void await(BooleanSupplier what) throws InterruptedException {
    while (!what.getAsBoolean()) {
      wait();
    }
  }

  /**
   * What follows a position, as it arrived, waited for. Null if there will be no more, where it is
   * to stop, and where the position is older than {@link #oldest}.
   *
   * @throws IOException if the source failed, once all before that was given out
   */
  synchronized byte[] next(long position, BooleanSupplier stop)
      throws IOException, InterruptedException {
    while (position >= end && !isOver && !stop.getAsBoolean()) {
      wait();
    }
    if (stop.getAsBoolean() || position < oldest()) {
      return null;
    }
    if (position >= end) {
      if (failure != null) {
        throw failure;
      }
      return null;
    }
    Map.Entry<Long, byte[]> piece = pieces.floorEntry(position);
    int from = (int) (position - piece.getKey());
    byte[] bytes = piece.getValue();
    return from == 0 ? bytes : Arrays.copyOfRange(bytes, from, bytes.length);
  }

  /** All before a position is on its way. */
  synchronized void sent(long position) {
    sent = Math.max(sent, position);
    trim();
    notifyAll();
  }
}
