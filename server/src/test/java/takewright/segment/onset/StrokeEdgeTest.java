package takewright.segment.onset;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Strokes at a known sample, over strings that ring; all of them are computed. */
class StrokeEdgeTest {
  private static final int STRUCK_MS = 300;

  /** A string at 110 Hz that has rung for a while: eight partials, of which the high ones died. */
  private static float[] ring(int rate) {
    float[] x = new float[6 * rate / 10];
    SplittableRandom random = new SplittableRandom(11);
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / rate;
      for (int k = 1; k <= 8; k++) {
        x[i] += (float) (0.1 * Math.exp(-0.8 * k) * Math.sin(2 * Math.PI * 110 * k * t + k));
      }
      x[i] += (float) (0.0001 * (random.nextDouble() - 0.5));
    }
    return x;
  }

  private static void pluck(float[] x, int rate, double level, double hz) {
    int from = STRUCK_MS * rate / 1000;
    for (int i = from; i < x.length; i++) {
      double t = (double) (i - from) / rate;
      for (int k = 1; k <= 20 && k * hz < 0.4 * rate; k++) {
        double loud = level / k * Math.exp(-t * (0.25 + 2 * k)) * Math.min(1, t / 0.001);
        x[i] += (float) (loud * Math.sin(2 * Math.PI * k * hz * t + k * k));
      }
    }
  }

  private static int find(float[] x, int rate) {
    return StrokeEdge.find(x, rate / 10, 4 * rate / 10, rate, StrokeEdge.SPRINGS_UP);
  }

  @ParameterizedTest
  @CsvSource({
    "44100, 0.1, 330",
    "48000, 0.02, 330",
    "48000, 0.1, 110",
    "48000, 0.1, 1318",
    "96000, 0.05, 147"
  })
  void isFoundToTwoMilliseconds(int rate, double level, double hz) {
    float[] x = ring(rate);
    pluck(x, rate, level, hz);
    assertEquals(STRUCK_MS, 1000.0 * find(x, rate) / rate, 2);
  }

  @Test
  void whatRingsAloneHasNone() {
    assertEquals(-1, find(ring(48_000), 48_000));
  }

  /** A bow that sets in within 60 ms: its noise comes up slowly, or is there before its note. */
  @Test
  void aBowHasNone() {
    float[] x = ring(48_000);
    SplittableRandom random = new SplittableRandom(12);
    int from = 14_400;
    for (int i = from; i < x.length; i++) {
      double level = Math.min(1, (i - from) / 2880.0);
      double t = (double) i / 48_000;
      x[i] += (float) (level * 0.02 * (random.nextDouble() - 0.5));
      for (int k = 1; k <= 20; k++) {
        x[i] += (float) (level * 0.1 / k * Math.sin(2 * Math.PI * 220 * k * t + k));
      }
    }
    assertEquals(-1, find(x, 48_000));
  }

  /** A click just before a bow's note that grows far beyond it is not where the note is struck. */
  @Test
  void aClickBeforeALouderSoundHasNone() {
    float[] x = ring(48_000);
    x[14_000] += 0.01f;
    for (int i = 14_000; i < x.length; i++) {
      double level = Math.min(1, (i - 14_000) / 960.0);
      x[i] += (float) (level * 0.3 * Math.sin(2 * Math.PI * 3000 * i / 48_000));
    }
    assertEquals(-1, find(x, 48_000));
  }

  /** Whatever the stretch: nothing beyond the samples is read, and silence has no edge. */
  @Test
  void noStretchIsTooShort() {
    float[] struck = ring(48_000);
    pluck(struck, 48_000, 0.1, 330);
    for (int length : new int[] {0, 1, 2, 3, 100, 1200, 14_300, 14_500}) {
      float[] x = Arrays.copyOf(struck, length);
      StrokeEdge.find(x, -5000, length + 5000, 48_000, StrokeEdge.SPRINGS_UP);
      StrokeEdge.find(x, length, length, 48_000, StrokeEdge.SPRINGS_UP);
      assertEquals(
          -1, StrokeEdge.find(new float[length], 0, length, 48_000, StrokeEdge.SPRINGS_UP));
    }
  }
}
