package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;

class ArInterpolationTest {
  /**
   * Sums of sinusoids are predicted without error by a model of twice their number (R. Prony,
   * 1795), so a gap in them is filled in almost exactly.
   */
  @Test
  void sinusoidsAreFilledInAlmostExactly() {
    float[] x = new float[1000];
    for (int i = 0; i < x.length; i++) {
      x[i] =
          (float)
              (0.3 * Math.sin(0.11 * i) + 0.2 * Math.sin(0.37 * i + 1) + 0.1 * Math.cos(0.9 * i));
    }
    float[] y = x.clone();
    for (int i = 500; i < 530; i++) {
      y[i] = 0.9f;
    }
    ArInterpolation.fill(y, 500, 530, 32);
    double error = 0;
    for (int i = 500; i < 530; i++) {
      error = Math.max(error, Math.abs(x[i] - y[i]));
    }
    // A model conditioned 50 dB down cannot be exact; 0.6 is the sum of the amplitudes.
    assertTrue(error < 0.02, "error " + error);
  }

  /**
   * The paper's own signal: an autoregressive process, whose gap cannot be known, but its level.
   */
  @Test
  void aProcessIsFilledInAtItsLevelOrBelow() {
    Random random = new Random(1);
    float[] x = new float[2000];
    for (int i = 2; i < x.length; i++) {
      x[i] = (float) (1.6 * x[i - 1] - 0.9 * x[i - 2] + 0.01 * random.nextGaussian());
    }
    float[] y = x.clone();
    ArInterpolation.fill(y, 1000, 1010, 10);
    double error = 0;
    double power = 0;
    for (int i = 1000; i < 1010; i++) {
      error += Math.pow(x[i] - y[i], 2);
      power += x[i] * x[i];
    }
    assertTrue(error < power);
    assertEquals(x[999], y[999]);
    assertEquals(x[1010], y[1010]);
  }

  @Test
  void aGapNeedsSurroundings() {
    assertThrows(
        IllegalArgumentException.class, () -> ArInterpolation.fill(new float[100], 10, 20, 16));
  }
}
