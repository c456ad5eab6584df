package takewright.denoise.gain;

import takewright.denoise.band.Parts;
import takewright.denoise.band.ThirdOctaves;

/**
 * Raises gains until a band that stands well above the noise keeps its power.
 *
 * <p>A Wiener gain leaves the least error, and so it leaves less power than the clean sound has: by
 * 0.4 dB where noise lies 10 dB below it, and by more where the gain is a guess. What stands above
 * the noise is known there: the power of the band less that of the noise. Giving it back costs 0.1
 * dB of error.
 */
final class PowerKeeper {
  /** Power over the noise from which on a band begins to keep its power, and keeps all of it. */
  private static final float BEGINS = 4;

  private static final float KEEPS = 8;

  /**
   * Power missing, as a factor, up to which all of it is given back, and from which on none: where
   * more is missing, something else than a note stands above the noise.
   */
  private static final float SMALL = 1.5f;

  private static final float LARGE = 2;

  private final ThirdOctaves bands;
  private final Parts parts;
  private final float[] kept;
  private final float[] before;
  private final float[] after;
  private final float[] factors;
  private final float[] ofBins;

  PowerKeeper(int bins) {
    bands = new ThirdOctaves(bins);
    parts = new Parts(bins);
    kept = new float[bins];
    ofBins = new float[bins];
    before = new float[bands.count()];
    after = new float[bands.count()];
    factors = new float[bands.count()];
  }

  /**
   * Raises gains.
   *
   * @param ratios power over noise power of each bin
   * @param gains of each bin, of up to 1, and so they stay
   */
  void raise(float[] ratios, float[] gains) {
    parts.take(ratios);
    bands.means(parts, before);
    for (int k = 0; k < kept.length; k++) {
      kept[k] = gains[k] * gains[k] * ratios[k];
    }
    parts.take(kept);
    bands.means(parts, after);
    boolean any = false;
    for (int b = 0; b < factors.length; b++) {
      float clean = before[b] - 1;
      float missing = Math.max(1, clean / Math.max(after[b], 1e-9f));
      float share = sureness(clean) * within((LARGE - missing) / (LARGE - SMALL));
      factors[b] = (float) (1 + share * (Math.sqrt(missing) - 1));
      any |= factors[b] > 1;
    }
    if (!any) {
      return;
    }
    bands.spread(factors, ofBins);
    for (int k = 0; k < gains.length; k++) {
      gains[k] = Math.min(1, gains[k] * ofBins[k]);
    }
  }

  /** Mean power over the noise of each third of an octave of the last frame. */
  float[] ofBands() {
    return before;
  }

  /** How sure it is that power over the noise is of a note, 0 to 1. */
  static float sureness(float clean) {
    return within((clean - BEGINS) / (KEEPS - BEGINS));
  }

  private static float within(float share) {
    return Math.max(0, Math.min(1, share));
  }
}
