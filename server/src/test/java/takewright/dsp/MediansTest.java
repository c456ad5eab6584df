package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

class MediansTest {
  @Test
  void isTheMiddleOrTheMeanOfTheTwo() {
    double[] values = {9, 2, 1, 4};
    assertEquals(3, Medians.of(values));
    assertEquals(2, Medians.of(values, 3));
    assertArrayEquals(new double[] {9, 2, 1, 4}, values, "left as they are");
    assertEquals(Double.NaN, Medians.of(new double[0]));
  }
}
