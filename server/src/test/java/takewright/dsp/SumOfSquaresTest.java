package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.FloatRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;

class SumOfSquaresTest {
  /** 1 + 4 + ... + n^2 = n (n + 1) (2n + 1) / 6, known since Archimedes. */
  @Test
  void squaresOfTheFirstNumbers() {
    for (int n = 0; n < 20; n++) {
      float[] x = new float[n + 2];
      for (int i = 0; i <= n; i++) {
        x[i] = i % 2 == 0 ? i : -i;
      }
      x[n + 1] = 1000;
      assertEquals(n * (n + 1) * (2 * n + 1) / 6, SumOfSquares.of(x, 0, n + 1), n + " numbers");
    }
  }

  @Property(tries = 200)
  void theSumOfTwoPartsIsThatOfTheWhole(
      @ForAll @Size(min = 1, max = 40) @FloatRange(min = -1, max = 1) float[] x) {
    double whole = SumOfSquares.of(x, 0, x.length);
    for (int at = 0; at <= x.length; at++) {
      double parts = SumOfSquares.of(x, 0, at) + SumOfSquares.of(x, at, x.length);
      assertEquals(whole, parts, 1e-12 * whole);
    }
  }

  @Test
  void oneThatIsNoNumberIsTold() {
    for (int at = 0; at < 6; at++) {
      float[] x = new float[6];
      x[at] = Float.NaN;
      assertTrue(Double.isNaN(SumOfSquares.of(x, 0, 6)));
    }
  }
}
