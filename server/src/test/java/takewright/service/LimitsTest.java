package takewright.service;

import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;
import takewright.service.access.Limits;

/** Audio held in memory: half of the heap at most, and what is given back can be held again. */
class LimitsTest {
  private static final long SIXTH = Runtime.getRuntime().maxMemory() / 6;

  @Test
  void whatIsGivenBackCanBeHeldAgain() {
    for (int call = 0; call < 20; call++) {
      Limits.hold(SIXTH);
      Limits.release(SIXTH);
    }
  }

  @Test
  void moreThanHalfOfTheHeapIsRefusedAndNotCounted() {
    for (int call = 0; call < 20; call++) {
      assertThrows(RuntimeException.class, () -> Limits.hold(4 * SIXTH));
    }
    Limits.hold(SIXTH);
    Limits.release(SIXTH);
  }
}
