package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Against what sampling says: a tone is what it was, or, above half the new rate, gone. */
class DecimatorTest {
  private static final int COUNT = 3000;

  private static float[] tone(double cycles, int count) {
    float[] x = new float[count];
    for (int i = 0; i < count; i++) {
      x[i] = (float) Math.sin(2 * Math.PI * cycles * i);
    }
    return x;
  }

  private static double pass(int factor) {
    return 0.275 / factor;
  }

  private static float[] decimated(double cycles, int factor) {
    float[] x = tone(cycles, (COUNT + 200) * factor);
    return new Decimator(factor, pass(factor)).apply(x, 100 * factor, COUNT);
  }

  @ParameterizedTest
  @ValueSource(ints = {2, 3, 5, 16})
  void toneOfThePassBandIsAsItWas(int factor) {
    for (double share : new double[] {0.03, 0.5, 1}) {
      double cycles = share * pass(factor);
      float[] low = decimated(cycles, factor);
      for (int i = 0; i < COUNT; i++) {
        double expected = Math.sin(2 * Math.PI * cycles * (100 + i) * factor);
        assertEquals(expected, low[i], 1e-3, "sample " + i + " at " + share);
      }
    }
  }

  @ParameterizedTest
  @ValueSource(ints = {2, 3, 5, 16})
  void whatWouldFoldOntoItIsSeventyDecibelsDown(int factor) {
    for (double cycles : new double[] {1.0 / factor - pass(factor), 0.9 / factor, 0.49}) {
      float peak = Peak.of(decimated(cycles, factor), 0, COUNT);
      assertTrue(Decibels.fromAmplitude(peak) < -69, cycles + " leaves " + peak);
    }
  }

  @Test
  void beyondTheEndsIsSilence() {
    float[] low = new Decimator(4, pass(4)).apply(tone(0.01, 400), -2000, 1200);
    assertEquals(0, Peak.of(low, 0, 480));
    assertTrue(Peak.of(low, 500, 600) > 0.9);
    assertEquals(0, Peak.of(low, 620, 1200));
  }

  /** However short the audio is, and wherever it begins and ends: as if silence were written. */
  @Test
  void silenceAroundAudioChangesNothing() {
    for (int factor : new int[] {2, 5}) {
      Decimator decimator = new Decimator(factor, pass(factor));
      for (int length = 0; length < 40; length++) {
        float[] audio = tone(0.03, length);
        float[] padded = new float[length + 600];
        System.arraycopy(audio, 0, padded, 300, length);
        for (int first = -45; first < 45; first++) {
          assertArrayEquals(
              decimator.apply(padded, first + 300, 12), decimator.apply(audio, first, 12));
        }
      }
    }
  }

  @Test
  void passBandMustLieBelowHalfOfTheNewRate() {
    assertThrows(IllegalArgumentException.class, () -> new Decimator(4, 0.125));
  }
}
