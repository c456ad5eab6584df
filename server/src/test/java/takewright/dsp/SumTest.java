package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

class SumTest {
  /** Whole numbers add up exactly: n (n + 1) / 2. */
  @Test
  void everyValueBetweenTheTwoCountsOnce() {
    float[] x = new float[30];
    for (int i = 0; i < x.length; i++) {
      x[i] = i;
    }
    for (int from = 0; from < 5; from++) {
      for (int to = from; to <= x.length; to++) {
        assertEquals((to * (to - 1) - from * (from - 1)) / 2.0, Sum.of(x, from, to));
      }
    }
  }
}
