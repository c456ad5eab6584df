package takewright.denoise.band;

import java.util.Arrays;

/**
 * The last frames of power over noise power, and their sums over 2 and 4 frames, of which longer
 * ones are made. Running sums would be cheaper, but what is left of one after a loud note has come
 * and gone is its rounding error, far above the noise.
 */
public final class RatioHistory {
  // Frames kept, powers of two. Each note that is cleaned makes them again, so none is longer than
  // what is asked for.
  private static final int RATIOS = 32; // above 2 * GainEstimator.HELD
  private static final int TWOS = 4; // above SoundDetector.LONG - 1
  private static final int FOURS = 16; // above 2 * GainEstimator.HELD - 4 - 2

  /**
   * Above this ratio (90 dB) a gain is 1 in single precision anyway; its square must stay finite.
   */
  private static final float MAX_RATIO = 1e9f;

  private final float[][] ratio;
  private final float[][] two;
  private final float[][] four;
  private long frame;

  public RatioHistory(int bins) {
    ratio = new float[RATIOS][bins];
    two = new float[TWOS][bins];
    four = new float[FOURS][bins];
    frame = -1;
  }

  /** Clears the state. */
  public void reset() {
    for (float[][] ring : new float[][][] {ratio, two, four}) {
      for (float[] values : ring) {
        Arrays.fill(values, 0);
      }
    }
    frame = -1;
  }

  /** Takes the next frame. */
  public void add(float[] ratios) {
    frame++;
    float[] r = ratio(0);
    for (int k = 0; k < r.length; k++) {
      r[k] = Math.min(ratios[k], MAX_RATIO);
    }
    sum(r, ratio(1), at(two, 0));
    sum(at(two, 0), at(two, 2), at(four, 0));
  }

  /** Number of the last frame, from 0. */
  public long frame() {
    return frame;
  }

  /** The frame this many before the last. */
  public float[] ratio(int ago) {
    return at(ratio, ago);
  }

  /** The sum of the frame this many before the last and the one before it. */
  float[] two(int ago) {
    return at(two, ago);
  }

  /** The sum of the frame this many before the last and the three before it. */
  public float[] four(int ago) {
    return at(four, ago);
  }

  private float[] at(float[][] ring, int ago) {
    return ring[(int) (frame - ago) & (ring.length - 1)];
  }

  public static void sum(float[] a, float[] b, float[] out) {
    for (int k = 0; k < out.length; k++) {
      out[k] = a[k] + b[k];
    }
  }
}
