package takewright.cli.connect;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.Arrays;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import org.junit.jupiter.api.Test;

class BacklogTest {
  /** Nothing that a test adds is faster than such a life. */
  private static final double LIVE = 1e12;

  private static byte[] piece(int from, int count) {
    byte[] piece = new byte[count];
    for (int i = 0; i < count; i++) {
      piece[i] = (byte) (from + i);
    }
    return piece;
  }

  @Test
  void givesOutWhatCameFromAnyPositionAndThenEnds() throws Exception {
    Backlog backlog = new Backlog(LIVE);
    backlog.add(piece(0, 7));
    backlog.add(piece(7, 5));
    assertArrayEquals(piece(0, 7), backlog.next(0, () -> false));
    assertArrayEquals(piece(3, 4), backlog.next(3, () -> false));
    assertArrayEquals(piece(7, 5), backlog.next(7, () -> false));
    backlog.sent(12);
    assertArrayEquals(piece(11, 1), backlog.next(11, () -> false), "sent is not heard");
    CompletableFuture<byte[]> waits = CompletableFuture.supplyAsync(() -> next(backlog, 12));
    assertThrows(TimeoutException.class, () -> waits.get(50, TimeUnit.MILLISECONDS));
    backlog.add(piece(12, 3));
    assertArrayEquals(piece(12, 3), waits.get(30, TimeUnit.SECONDS));
    assertNull(backlog.next(99, () -> true), "who is to stop does not wait");
    backlog.end(null);
    assertNull(backlog.next(15, () -> false));
    backlog.end(new IOException("the card is gone"));
    assertEquals(
        "the card is gone",
        assertThrows(IOException.class, () -> backlog.next(15, () -> false)).getMessage());
  }

  private static byte[] next(Backlog backlog, long position) {
    try {
      return backlog.next(position, () -> false);
    } catch (IOException | InterruptedException e) {
      throw new AssertionError(e);
    }
  }

  @Test
  void ofALiveSourceTheOldestIsGivenUpAndItNeverWaits() throws Exception {
    Backlog backlog = new Backlog(LIVE, 100);
    for (int at = 0; at < 1000; at += 10) {
      backlog.add(piece(at, 10));
    }
    assertEquals(900, backlog.oldest());
    assertNull(backlog.next(899, () -> false), "that it is gone is told, not passed over");
    assertArrayEquals(piece(900, 10), backlog.next(900, () -> false));
  }

  @Test
  void aSourceThatIsFasterThanLifeWaitsAndLosesNothing() throws Exception {
    Backlog backlog = new Backlog(1, 100); // a byte a second
    byte[] all = piece(0, 1000);
    CompletableFuture<Void> source =
        CompletableFuture.runAsync(
            () -> {
              try {
                for (int at = 0; at < all.length; at += 10) {
                  backlog.add(Arrays.copyOfRange(all, at, at + 10));
                }
                backlog.end(null);
              } catch (InterruptedException e) {
                throw new AssertionError(e);
              }
            });
    assertThrows(TimeoutException.class, () -> source.get(50, TimeUnit.MILLISECONDS));
    byte[] got = new byte[all.length];
    int at = 0;
    for (byte[] next; (next = backlog.next(at, () -> false)) != null; ) {
      System.arraycopy(next, 0, got, at, next.length);
      at += next.length;
      backlog.sent(at);
    }
    assertArrayEquals(all, got);
    source.get(30, TimeUnit.SECONDS);
    assertTrue(backlog.oldest() <= 950, "some of what was sent is kept");
    assertFalse(backlog.oldest() < 800, "but not all");
  }
}
