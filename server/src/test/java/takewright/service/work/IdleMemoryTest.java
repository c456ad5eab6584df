package takewright.service.work;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

class IdleMemoryTest {
  private long nowNs = 5;
  private boolean isIdle = true;
  private int given;
  private final IdleMemory memory = new IdleMemory(() -> nowNs, () -> isIdle, () -> given++);

  private void lookAfter(long ns) {
    nowNs += ns;
    memory.look();
  }

  @Test
  void memoryIsGivenBackOnceAfterWorkAndNotBeforeItIsSurelyOver() {
    lookAfter(2 * IdleMemory.IDLE_NS);
    assertEquals(0, given, "nothing was done yet");
    memory.worked();
    lookAfter(IdleMemory.IDLE_NS - 1);
    assertEquals(0, given);
    memory.worked();
    lookAfter(IdleMemory.IDLE_NS - 1);
    assertEquals(0, given, "further work begins the wait anew");
    isIdle = false;
    lookAfter(IdleMemory.IDLE_NS);
    assertEquals(0, given, "work is running");
    isIdle = true;
    lookAfter(0);
    assertEquals(1, given);
    lookAfter(IdleMemory.IDLE_NS);
    assertEquals(1, given, "once is enough");
    memory.worked();
    lookAfter(IdleMemory.IDLE_NS);
    assertEquals(2, given);
  }
}
