package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class PeakTest {
  /** The highest of a sorted list is its last. */
  @ParameterizedTest
  @ValueSource(ints = {1, 255, 256, 1023, 1024, 1025, 5000})
  void isTheHighestWhereverItLies(int count) {
    Random random = new Random(count);
    float[] x = new float[count + 20];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) random.nextGaussian();
    }
    float[] sizes = new float[count];
    for (int i = 0; i < count; i++) {
      sizes[i] = Math.abs(x[i + 7]);
    }
    Arrays.sort(sizes);
    x[3] = 100;
    x[count + 7] = 100;
    assertEquals(sizes[count - 1], Peak.of(x, 7, count + 7));
  }

  @Test
  void everyPlaceIsLookedAt() {
    for (int at = 0; at < 1100; at++) {
      float[] x = new float[1100];
      x[at] = -0.5f;
      assertEquals(0.5f, Peak.of(x, 0, x.length));
    }
  }

  @Test
  void whatIsNoNumberIsPassedOver() {
    float[] x = new float[3000];
    Arrays.fill(x, Float.NaN);
    assertEquals(0, Peak.of(x, 0, x.length));
    x[1500] = 0.25f;
    assertEquals(0.25f, Peak.of(x, 0, x.length));
    assertEquals(0, Peak.of(x, 5, 5));
  }
}
