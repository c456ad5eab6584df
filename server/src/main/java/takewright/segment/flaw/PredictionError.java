package takewright.segment.flaw;

import takewright.dsp.Selection;

/**
 * The power of the error of a prediction, by steps of 0.75 ms at 8,000 samples a second, and what
 * stands out of it as a blow does: for some milliseconds.
 */
public final class PredictionError {
  /** Samples of which the error is a mean square (1.5 ms), twice as many as lie between two. */
  public static final int STEP = 6;

  /** Steps on either side that a blow may take up itself (6 ms). */
  public static final int GUARD = 8;

  /** Steps on either side that it is compared with, up to here (25 ms). */
  public static final int REACH = 33;

  /** Share of them that it must stand above. */
  private static final double SHARE = 0.85;

  private final float[] power;
  private final float[] beside = new float[REACH - GUARD];

  /** The steps of an error, by sample. */
  public PredictionError(float[] error) {
    power = new float[Math.max(0, error.length / STEP - 1)];
    for (int i = 0; i < power.length; i++) {
      float sum = 0;
      for (int k = i * STEP; k < (i + 2) * STEP; k++) {
        sum += error[k] * error[k];
      }
      power[i] = sum / (2 * STEP);
    }
  }

  /** Index behind the last step that has {@link #REACH} others on either side, as a blow must. */
  public int end() {
    return power.length - REACH;
  }

  /** Mean square of the error in a step. */
  public float power(int step) {
    return power[step];
  }

  /** Whether no step that a blow may take up with this one has more power. */
  public boolean isHighest(int step) {
    for (int k = step - GUARD; k <= step + GUARD; k++) {
      if (power[k] > power[step]) {
        return false;
      }
    }
    return true;
  }

  /** What most of the steps beside a blow stay under, on the side where that is more. */
  public float usual(int step) {
    return Math.max(usualFrom(step - REACH), usualFrom(step + GUARD + 1));
  }

  private float usualFrom(int step) {
    System.arraycopy(power, step, beside, 0, beside.length);
    return Selection.find(beside, beside.length, (int) (SHARE * beside.length));
  }
}
