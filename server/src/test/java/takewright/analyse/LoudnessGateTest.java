package takewright.analyse;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/**
 * The absolute gate of ITU-R BS.1770-5, annex 1: blocks at or below -70 LKFS do not count, even
 * where nothing louder lets the relative gate pass them over.
 */
class LoudnessGateTest {
  private static final int RATE = 48_000;

  /** A sine of 997 Hz at 0 dBFS reads -3.01 LKFS in one channel (BS.1770-5, annex 1). */
  private static float[] tone(double lufs, double seconds) {
    float[] x = new float[(int) (seconds * RATE)];
    double amplitude = Math.pow(10, (lufs + 3.01) / 20);
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (amplitude * Math.sin(2 * Math.PI * 997 * i / RATE));
    }
    return x;
  }

  private static double integrated(float[]... parts) {
    Loudness loudness = new Loudness(RATE, 1);
    for (float[] part : parts) {
      loudness.feed(new float[][] {part}, 0, part.length);
    }
    return loudness.integrated();
  }

  @Test
  void whatLiesBelowTheGateHasNoLoudness() {
    assertTrue(Double.isNaN(integrated(tone(-71, 5))));
    assertEquals(-69, integrated(tone(-69, 5)), 0.1);
  }

  /** Without the gate the mean would be -67.0 LUFS, and the relative gate 10 LU below take both. */
  @Test
  void whatLiesBelowTheGateDoesNotCount() {
    // Of the blocks of 0.4 s, three lie across the step; they count by what they hold.
    assertEquals(-65, integrated(tone(-65, 20), tone(-71, 20)), 0.15);
  }
}
