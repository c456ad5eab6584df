package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.FloatRange;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;

/** Against the JDK's own sorting. */
class SelectionTest {
  @Property(tries = 300)
  void findsWhatSortingWouldPutThere(
      @ForAll @Size(min = 1, max = 60) float @FloatRange(min = -4, max = 4) [] values,
      @ForAll @IntRange(min = 0, max = 59) int any) {
    int wanted = any % values.length;
    float[] sorted = values.clone();
    Arrays.sort(sorted);
    float[] x = values.clone();
    assertEquals(sorted[wanted], Selection.find(x, x.length, wanted));
    for (int i = 0; i < x.length; i++) {
      assertTrue(i < wanted ? x[i] <= x[wanted] : x[i] >= x[wanted]);
    }
    int n = sorted.length;
    double median = ((double) sorted[(n - 1) / 2] + sorted[n / 2]) / 2;
    assertEquals(median, Selection.median(values.clone(), n));
  }

  @Property(tries = 50)
  void passesOverWhatLiesBeyondTheCount(@ForAll @IntRange(min = 1, max = 20) int count) {
    float[] values = new float[40];
    for (int i = 0; i < values.length; i++) {
      values[i] = i < count ? count - i : -1;
    }
    assertEquals((count + 1) / 2.0, Selection.median(values, count));
  }
}
