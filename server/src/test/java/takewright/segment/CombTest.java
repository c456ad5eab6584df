package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import takewright.dsp.Decibels;
import takewright.segment.room.Columns;

/** What is left beside a note once its partials are taken away. */
class CombTest {
  private static final int RATE = 48_000;
  private static final int FRAMES = 9600;

  /** A period that is no whole number of frames: 217.2. */
  private static final double HZ = 221;

  private static Columns heard(double hz, double otherHz) {
    float[] x = new float[FRAMES];
    for (int i = 0; i < x.length; i++) {
      for (int k = 1; k <= 5; k++) {
        x[i] += (float) (0.1 * Math.sin(2 * Math.PI * k * hz * i / RATE));
      }
      x[i] += (float) (0.1 * Math.sin(2 * Math.PI * otherHz * i / RATE));
    }
    Columns columns = new Columns(RATE, 1, 1);
    for (int from = 0; from < x.length; ) {
      int count = (int) Math.min(x.length - from, columns.framesToNext());
      columns.append(new float[][] {x}, from, count);
      from += count;
      if (columns.framesToNext() == 0) {
        columns.measure();
      }
    }
    return columns;
  }

  private static double powerDb(float[] x) {
    double sum = 0;
    for (float v : x) {
      sum += (double) v * v;
    }
    return Decibels.fromPower(sum / x.length + 1e-12);
  }

  private static float[] left(Columns columns, long centre, int length) {
    float[] window = new float[length];
    new Comb().copy(columns.audio(), centre, RATE / HZ, window);
    return window;
  }

  /** By |1 - exp(-j w T)|, of which the square is 2 - 2 cos(w T). */
  @Test
  void itTakesAwayTheNoteAndLeavesAnother() {
    double alone = powerDb(left(heard(HZ, 0), 4800, 4000));
    assertTrue(alone < -75, "of a note at -16 dB " + alone + " dB are left");
    double other = 331;
    double gain = 2 - 2 * Math.cos(2 * Math.PI * other / HZ);
    double expected = Decibels.fromPower(0.005 * gain);
    assertEquals(expected, powerDb(left(heard(HZ, other), 4800, 4000)), 0.1);
  }

  /**
   * Before the first frame and behind the last there is silence; a window may hold one, or none.
   */
  @Test
  void itReadsNothingBeyondTheEnds() {
    Columns columns = heard(HZ, 331);
    int period = (int) (RATE / HZ);
    for (long centre : new long[] {-1000, FRAMES + 1000 + period}) {
      assertEquals(0, left(columns, centre, 1000)[0], "around " + centre);
      assertEquals(0, left(columns, centre, 1000)[999], "around " + centre);
    }
    float[] first = left(columns, 500, 1000);
    float[] samples = new float[1000];
    columns.audio().copy(0, samples, 1000);
    for (int i = 0; i < period; i++) {
      assertEquals(samples[i], first[i], "no period lies before frame " + i);
    }
    assertEquals(first[300], left(columns, 300, 1)[0]);
    assertEquals(0, left(columns, 300, 0).length);
  }

  /** A longer window than the one before, and a shorter one, hold the same. */
  @Test
  void itTakesWindowsOfAnyLength() {
    Columns columns = heard(HZ, 331);
    Comb comb = new Comb();
    float[] expected = left(columns, 3000, 2000);
    for (int length : new int[] {10, 2000, 64}) {
      float[] window = new float[length];
      comb.copy(columns.audio(), 3000, RATE / HZ, window);
      for (int i = 0; i < length; i++) {
        assertEquals(expected[1000 - length / 2 + i], window[i], length + " frames, at " + i);
      }
    }
  }
}
