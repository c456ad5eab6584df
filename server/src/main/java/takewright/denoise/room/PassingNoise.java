package takewright.denoise.room;

import takewright.denoise.band.ThirdOctaves;
import takewright.dsp.Decibels;

/**
 * Notices noise that comes and goes under a held note, as of a lorry outside: it cannot be taken
 * away there, since nobody knows it from the note's own, but a person can be told.
 *
 * <p>It is looked for below the notes' partials: the lowest bands grow louder by several dB while
 * the note is held, stay so for a second, and grow softer again, and all the while they are as
 * smooth as noise is, which partials are not.
 */
final class PassingNoise {
  /** Bands that are listened to: those below 140 Hz at 48 kHz. */
  private static final int LOW_BANDS = 3;

  /** How far it rises above what was before and comes down again, in dB. */
  private static final double RISE_DB = 6;

  /** Frames for which it stays: a second. */
  private static final int FRAMES = 18;

  /** A partial has its power in few bins: their mean lies further above the noise than this, dB. */
  private static final double SMOOTH_DB = 4;

  /** Frames that a level is averaged over. */
  private static final int AVERAGED = 6;

  private double level;
  private double rough;
  private double softest;
  private double loudest;
  private int frames;
  private int high;
  private boolean found;

  /**
   * Takes the next frame.
   *
   * @param inNote whether a note is plain to see
   * @param ratios power over expected noise power, by bin
   * @param heard level of the noise over the expected one, by band, in dB
   */
  void add(boolean inNote, float[] ratios, ThirdOctaves bands, float[] heard) {
    if (!inNote) {
      frames = 0;
      return;
    }
    double sum = 0;
    double levels = 0;
    for (int k = 0; k < bands.to(LOW_BANDS - 1); k++) {
      sum += ratios[k];
    }
    for (int b = 0; b < LOW_BANDS; b++) {
      levels += heard[b] / LOW_BANDS;
    }
    double mean = Decibels.fromPower(sum / bands.to(LOW_BANDS - 1) + 1e-9);
    if (frames++ == 0) {
      level = levels;
      rough = mean - levels;
      softest = Double.POSITIVE_INFINITY;
      high = 0;
    }
    level += (levels - level) / AVERAGED;
    rough += (mean - levels - rough) / AVERAGED;
    if (frames < 2 * AVERAGED) {
      return;
    }
    softest = Math.min(softest, level);
    if (level > Math.max(softest, 0) + RISE_DB && rough < SMOOTH_DB) {
      loudest = high++ == 0 ? level : Math.max(loudest, level);
    } else if (high >= FRAMES && level < loudest - RISE_DB) {
      found = true;
    } else if (level < softest + RISE_DB / 2) {
      high = 0;
    }
  }

  /** Whether any came and went so far. */
  boolean found() {
    return found;
  }
}
