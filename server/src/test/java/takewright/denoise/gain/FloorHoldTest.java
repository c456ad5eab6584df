package takewright.denoise.gain;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** An input of ones whose result is ones too; where the room is held it is a tenth. */
class FloorHoldTest {
  private static final int RATE = 1000;
  private static final int FADE = 20;

  private final float[][] input = new float[2][256];
  private final float[][] result = new float[2][256];
  private final FloorHold hold = new FloorHold(input, result, 0.1f, RATE);

  @BeforeEach
  void ones() {
    for (int c = 0; c < 2; c++) {
      Arrays.fill(input[c], 1);
      Arrays.fill(result[c], 1);
    }
  }

  private void assertResult(float expected, int frame) {
    assertEquals(expected, result[0][frame & 255], 1e-6f, "frame " + frame);
    assertEquals(expected, result[1][frame & 255], 1e-6f, "frame " + frame);
  }

  @Test
  void nothingIsHeldAtFirst() {
    hold.apply(0, 256);
    assertResult(1, 0);
    assertResult(1, 255);
  }

  @Test
  void upToAnAttack() {
    hold.until(100);
    hold.apply(0, 256);
    assertResult(0.1f, 0);
    assertResult(0.1f, 100 - FADE);
    assertResult(0.55f, 100 - FADE / 2);
    assertResult(1, 100);
  }

  @Test
  void behindAnEnd() {
    hold.after(100);
    hold.apply(0, 256);
    assertResult(1, 99);
    assertResult(1, 100);
    assertResult(0.55f, 100 + FADE / 2);
    assertResult(0.1f, 100 + FADE);
    assertResult(0.1f, 255);
  }

  /** Frames 300 to 350 of a longer audio; only those up to 340 are there. */
  @Test
  void fromAnEndToAnAttack() {
    hold.between(300, 350);
    hold.apply(290, 340);
    assertResult(1, 300);
    assertResult(0.1f, 320);
    assertResult(0.1f, 330);
    assertResult(1, 340);
    hold.apply(340, 400);
    assertResult(0.55f, 340);
    assertResult(1, 350);
  }
}
