package takewright.dsp;

import java.util.Arrays;

/**
 * Filters that run side by side over the same audio, each a list of taps: the phases of a polyphase
 * filter. Not for use by several threads at once.
 */
public final class Fir {
  private final float[][] phases;

  /** Four copies of the audio, each a frame later than the one before. */
  private final float[][] shifted;

  /**
   * Filters that are given at most {@code block} frames at a time.
   *
   * @param phases taps by filter, all as many, a multiple of 4
   */
  public Fir(float[][] phases, int block) {
    this.phases = phases;
    this.shifted = new float[4][block];
  }

  /**
   * For each filter p, sums {@code phases[p][k] * from[offset + i + k]} over k into {@code
   * to[p][i]}, for i from 0 to {@code count}.
   */
  public void apply(float[] from, int offset, float[][] to, int count) {
    for (int p = 0; p < phases.length; p++) {
      Arrays.fill(to[p], 0, count, 0);
    }
    // Taps outside, frames inside: HotSpot vectorises that, but not a sum of floats,
    // whose order it may not change. Nor does it where the index has a variable added (measured on
    // 17: five times as slow), so the audio is copied to begin at 0; the copies cost half as much
    // as
    // the sums.
    int taps = phases.length == 0 ? 0 : phases[0].length;
    for (int k = 0; k < taps; k += 4) {
      for (int j = 0; j < 4; j++) {
        System.arraycopy(from, offset + k + j, shifted[j], 0, count);
      }
      for (int p = 0; p < phases.length; p++) {
        float[] h = phases[p];
        addFour(shifted, h[k], h[k + 1], h[k + 2], h[k + 3], to[p], count);
      }
    }
  }

  private static void addFour(
      float[][] from, float t0, float t1, float t2, float t3, float[] to, int count) {
    float[] x0 = from[0];
    float[] x1 = from[1];
    float[] x2 = from[2];
    float[] x3 = from[3];
    for (int i = 0; i < count; i++) {
      // In pairs, so that fewer roundings pile up in long filters.
      to[i] += (t0 * x0[i] + t1 * x1[i]) + (t2 * x2[i] + t3 * x3[i]);
    }
  }
}
