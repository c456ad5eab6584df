package takewright.segment.flaw;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.SplittableRandom;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Pauses of made lengths between a tone and another sound. */
class PausesTest {
  private static final int RATE = 48_000;
  private static final double ROOM = 1e-6;

  @ParameterizedTest
  @CsvSource({"0.02, false", "0.1, false", "0.22, true", "0.5, true"})
  void aPauseIsFoundFromAFewTenthsOnWithItsEnd(double seconds, boolean isOne) {
    SplittableRandom random = new SplittableRandom(4);
    int begins = (int) ((0.3 + seconds) * RATE);
    float[] x = new float[begins + RATE / 5];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (Math.sqrt(3 * ROOM) * (2 * random.nextDouble() - 1));
      if (i < 0.3 * RATE || i >= begins) {
        x[i] += (float) ((i >= begins ? 0.01 : 0.1) * Math.sin(i * 0.05));
      }
    }
    Pauses pauses = new Pauses(x, RATE, ROOM, 0.005);
    // Looks that reach into what sounds before and behind it are no part of it.
    assertEquals(Math.max(0, seconds - 0.02), pauses.longestS(), 0.021);
    assertEquals(isOne ? begins : -1, pauses.endBeforeMore(), isOne ? 0.03 * RATE : 0);
    float[] alone = java.util.Arrays.copyOf(x, begins - RATE / 50);
    assertEquals(-1, new Pauses(alone, RATE, ROOM, 0.005).endBeforeMore());
  }
}
