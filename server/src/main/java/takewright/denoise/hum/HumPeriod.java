package takewright.denoise.hum;

import java.util.Arrays;
import takewright.dsp.Fft;

/**
 * One channel's hum as it was at one moment and is at the next, each laid out as a period; from one
 * to the other it goes over evenly.
 */
final class HumPeriod {
  /** Samples of a period: its 21st line is then kept to -70 dB. */
  static final int SAMPLES = 4096;

  /** Units in a turn of the fundamental. The highest bits number the samples of a period, */
  private static final long TURN = 1L << 60;

  private static final int PLACE_BITS = Long.numberOfTrailingZeros(TURN / SAMPLES);

  /** and the bits below them, as many as a float's mantissa has, say how far the next one is. */
  private static final int PARTS = 1 << 23;

  private static final int PART_BITS = PLACE_BITS - Integer.numberOfTrailingZeros(PARTS);

  /** The bits of 1.0 as a float. */
  private static final int ONE = 0x3f80_0000;

  private float[] before = new float[SAMPLES + 1];
  private float[] after = new float[SAMPLES + 1];

  /** Goes on to the next moment, whose spectrum is to be written here, packed as in {@link Fft}. */
  float[] nextSpectrum() {
    float[] last = before;
    before = after;
    after = last;
    Arrays.fill(after, 0);
    return after;
  }

  /** Turns the spectrum of the next moment into a period. */
  void layOut() {
    Fft.of(SAMPLES).inverse(after);
    after[SAMPLES] = after[0];
  }

  /**
   * Subtracts the hum from one moment to the next.
   *
   * @param x the audio
   * @param start index of its sample at the first moment
   * @param count samples to the next moment, a power of two
   * @param from turns of the fundamental at the first moment, below 1
   * @param each turns a sample
   * @param out receives what is left
   */
  void subtract(float[] x, int start, int count, double from, double each, float[] out) {
    // A turn is a power of two: whole ones drop out of the bits, and sums of turns are exact.
    long turn = (long) (from * TURN);
    long turnsASample = (long) (each * TURN);
    float share = 1f / count;
    float passed = 0;
    for (int i = 0; i < count; i++) {
      int j = (int) (turn >>> PLACE_BITS) & (SAMPLES - 1);
      // As the mantissa of a float from 1 to 2: a conversion waits for what its register held
      // before (HotSpot 17).
      int mantissa = (int) (turn >>> PART_BITS) & (PARTS - 1);
      float part = Float.intBitsToFloat(ONE | mantissa) - 1;
      float a = before[j] + part * (before[j + 1] - before[j]);
      float b = after[j] + part * (after[j + 1] - after[j]);
      out[i] = x[start + i] - (a + passed * (b - a));
      turn += turnsASample;
      // Exact, as the count is a power of two.
      passed += share;
    }
  }
}
