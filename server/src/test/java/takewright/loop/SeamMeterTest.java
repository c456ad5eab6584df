package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;

import org.junit.jupiter.api.Test;
import takewright.loop.LoopSearch.Pair;

class SeamMeterTest {
  private static final int RATE = 48_000;

  /** A note whose vibrato, brightness and level move, so that no two pairs cost the same. */
  private static float[] note(double hz, double seconds) {
    float[] x = new float[(int) (seconds * RATE)];
    double phase = 0;
    for (int i = 0; i < x.length; i++) {
      double s = (double) i / RATE;
      phase += 2 * Math.PI * hz / RATE * (1 + 0.004 * Math.sin(2 * Math.PI * 5.3 * s));
      double bright = 0.4 + 0.2 * Math.sin(2 * Math.PI * 0.7 * s);
      double loud = 0.3 * (1 + 0.1 * Math.sin(2 * Math.PI * 1.3 * s));
      x[i] = (float) (loud * (Math.sin(phase) + bright * Math.sin(3 * phase)));
    }
    return x;
  }

  /** What is left out must be what could not have won: the loops found stay the same. */
  @Test
  void aSeamIsGivenUpOnlyWhereItCostsTooMuch() {
    double hz = 220;
    float[] x = note(hz, 4);
    LoopSettings settings = LoopSettings.of(hz);
    NoteCourse course = new NoteCourse(x, RATE, hz);
    SteadyPart steady = SteadyPart.of(course, RATE);
    SeamMeter meter = new SeamMeter(x, RATE, settings, course, new Ticks(x, RATE), steady);
    for (int k = 0; k < 40; k++) {
      Pair pair = new Pair(RATE + 331 * k, 2 * RATE + 1409 * k / 2, 0.1);
      Seam whole = meter.measure(pair, Double.POSITIVE_INFINITY);
      assertNotNull(whole);
      assertEquals(whole, meter.measure(pair, Math.nextUp(whole.cost())));
      Seam again = meter.measure(pair, whole.cost());
      // It may be measured to its end where only the last part costs too much.
      if (again != null) {
        assertEquals(whole, again);
      }
      assertNull(meter.measure(pair, 0));
    }
  }

  /** A note that rises by 12 cents in 4 s; truth by arithmetic. */
  @Test
  void aLoopIsAsFarFromTheNotesPitchAsItsStretchIs() {
    double hz = 220;
    float[] x = new float[4 * RATE];
    double phase = 0;
    for (int i = 0; i < x.length; i++) {
      phase += 2 * Math.PI * hz / RATE * Math.pow(2, (12.0 * i / x.length - 6) / 1200);
      x[i] = (float) (0.2 * (Math.sin(phase) + 0.4 * Math.sin(3 * phase)));
    }
    NoteCourse course = new NoteCourse(x, RATE, hz);
    SteadyPart steady = SteadyPart.of(course, RATE);
    SeamMeter meter =
        new SeamMeter(x, RATE, LoopSettings.of(hz), course, new Ticks(x, RATE), steady);
    // From 0.7 to 1.3 s it lies 3 cents below the middle, from 1.7 to 2.3 s on it.
    assertEquals(3, cents(meter, 0.7, 1.3), 0.7);
    assertEquals(0, cents(meter, 1.7, 2.3), 0.7);
    assertEquals(3, cents(meter, 2.7, 3.3), 0.7);
  }

  private static double cents(SeamMeter meter, double from, double to) {
    Pair pair = new Pair((int) (from * RATE), (int) (to * RATE), 0.1);
    return meter.measure(pair, Double.POSITIVE_INFINITY).cents();
  }
}
