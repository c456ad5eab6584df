package takewright.cli.connect;

import java.io.IOException;
import java.util.Arrays;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.BooleanSupplier;

/**
 * The audio of a session between the recorder and the service: what was not sent yet, and the last
 * of what was sent, which a crashed service may not have heard. Positions are bytes from the start
 * of the take.
 *
 * <p>Audio that arrives in real time cannot wait: a recorder that is held up loses it. So a live
 * source is always read on, and when too much has gathered the oldest audio is given up, which
 * {@link #oldest} tells. A source faster than real time is not a recorder, and waits.
 */
public final class Backlog {
  /** The most audio kept: eight minutes of two channels of 24 bits at 48 kHz. */
  static final int MAX_BYTES = 128 << 20;

  /** Unsent audio of a source that can wait; more would only take memory. */
  private static final int AHEAD_BYTES = 4 << 20;

  /**
   * Sent audio that is kept: buffers on the way hold some megabytes, and a machine that crashes
   * loses the last second, which is 25 MB at the highest rates.
   */
  private static final int KEPT_BYTES = 32 << 20;

  /**
   * A source this much faster than real time, after a first burst of two seconds, is not a
   * recorder.
   */
  private static final double NOT_LIVE = 1.5;

  private static final double BURST_S = 2;

  private final int max;
  private final double bytesPerSecond;
  private final long beganNs = System.nanoTime();

  /** By start position. */
  private final TreeMap<Long, byte[]> pieces = new TreeMap<>();

  private long end;
  private long sent;
  private boolean isOver;
  private IOException failure;

  /**
   * @param bytesPerSecond of audio as it is played; 0 if the source can wait however fast it is
   */
  public Backlog(double bytesPerSecond) {
    this(bytesPerSecond, MAX_BYTES);
  }

  /** A backlog of this many bytes. */
  public Backlog(double bytesPerSecond, int max) {
    this.bytesPerSecond = bytesPerSecond;
    this.max = max;
  }

  /** Adds audio, at least one byte; if the source can wait, waits until there is room. */
  public synchronized void add(byte[] piece) throws InterruptedException {
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

  /** Marks the end of the audio, with the failure that caused it, or null if the take is over. */
  public synchronized void end(IOException why) {
    isOver = true;
    failure = why;
    notifyAll();
  }

  /** The first position that is still kept. */
  synchronized long oldest() {
    return pieces.isEmpty() ? end : pieces.firstKey();
  }

  /** Wakes waiting threads, which then check their condition. */
  synchronized void wake() {
    notifyAll();
  }

  /** Waits for {@link #wake}. */
  synchronized void await(BooleanSupplier what) throws InterruptedException {
    while (!what.getAsBoolean()) {
      wait();
    }
  }

  /**
   * Waits for the audio that follows a position, as it arrived. Null if there will be no more, if
   * the caller is to stop, or if the position is older than {@link #oldest}.
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

  /** Marks the audio before a position as sent. */
  synchronized void sent(long position) {
    sent = Math.max(sent, position);
    trim();
    notifyAll();
  }
}
