package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;
import takewright.diagnosis.Problem;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
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
      assertRefused(Reason.TOO_MUCH, () -> Limits.hold(4 * SIXTH));
    }
    Limits.hold(SIXTH);
    Limits.release(SIXTH);
  }

  /** What would fit if other calls ended is refused for now, and what never fits for good. */
  @Test
  void whatOthersHoldIsARefusalForNow() {
    Limits.hold(2 * SIXTH);
    try {
      assertRefused(Reason.MEMORY_FULL, () -> Limits.hold(2 * SIXTH));
    } finally {
      Limits.release(2 * SIXTH);
    }
  }

  @Test
  void streamsOnTheDiskAreBounded() {
    long half = Limits.SPOOL_BYTES / 2 + 1;
    for (int call = 0; call < 20; call++) {
      Limits.spool(half);
      assertRefused(Reason.TOO_MUCH, () -> Limits.spool(half));
      Limits.unspool(half);
    }
  }

  private static void assertRefused(Reason reason, Executable call) {
    Problem problem = assertThrows(ProblemException.class, call).problem();
    assertEquals(reason, problem.reason());
  }
}
