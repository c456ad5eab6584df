package takewright.service.call;

import static org.junit.jupiter.api.Assertions.assertDoesNotThrow;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.concurrent.atomic.AtomicLong;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

class ClientWaitTest {
  private final AtomicLong now = new AtomicLong(-5_000_000_000L);

  /** Refused at a time of the same clock; never if null. */
  private Long refusedNs;

  private final ClientWait wait =
      new ClientWait(now::get, since -> refusedNs != null && refusedNs - since > 0);

  private void after(double s) {
    now.set(-5_000_000_000L + (long) (s * 1e9));
  }

  private void check() {
    wait.check("audio", "did not come for", "send it");
  }

  @Test
  void aCallMayStandStillWhileThereIsRoom() {
    after(119.9);
    assertDoesNotThrow(this::check);
    after(120);
    ProblemException slow = assertThrows(ProblemException.class, this::check);
    assertEquals(Reason.TOO_SLOW, slow.problem().reason());
    assertEquals("audio", slow.problem().field());
    assertTrue(slow.getMessage().contains("120 s"), slow.getMessage());
  }

  @Test
  void itEndsSoonWhenOthersAreRefused() {
    after(9.9);
    refusedNs = now.get();
    after(60);
    assertDoesNotThrow(this::check, "others were refused before it had waited for ten seconds");
    refusedNs = now.get();
    ProblemException slow = assertThrows(ProblemException.class, this::check);
    assertEquals(Reason.TOO_SLOW, slow.problem().reason());
    assertTrue(slow.getMessage().contains("60 s while other calls were refused"));
  }
}
