package takewright.dsp;

import java.util.Arrays;

/** Filtering by a short list of taps, in vector code. */
public final class Fir {
  private Fir() {}

  /**
   * Sums {@code taps[k] * from[offset + i + k]} over k into {@code to[i]}, for i from 0 to {@code
   * count}.
   *
   * @param taps as many as a multiple of 4
   */
  public static void apply(float[] from, int offset, float[] taps, float[] to, int count) {
    // Tap by tap over the block, not sample by sample over the taps: HotSpot makes vector code of
    // this, and not of a sum of floats, whose order it may not change.
    Arrays.fill(to, 0, count, 0);
    for (int k = 0; k < taps.length; k += 4) {
      addFour(from, offset + k, taps[k], taps[k + 1], taps[k + 2], taps[k + 3], to, count);
    }
  }

  private static void addFour(
      float[] from, int at, float t0, float t1, float t2, float t3, float[] to, int count) {
    for (int i = 0; i < count; i++) {
      to[i] =
          to[i]
              + t0 * from[at + i]
              + t1 * from[at + i + 1]
              + t2 * from[at + i + 2]
              + t3 * from[at + i + 3];
    }
  }
}
