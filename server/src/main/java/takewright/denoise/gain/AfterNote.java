package takewright.denoise.gain;

import java.util.Arrays;
import takewright.denoise.band.Parts;
import takewright.denoise.band.RatioHistory;

/**
 * Tells what is left of a note from what comes up after it: a tail only falls. A wheel or a dish
 * that is heard before the tail is over would pass for a part of it, since long frames hold both.
 */
final class AfterNote {
  /**
   * Factor by which a part of the spectrum rises over the least it has been since the note, or over
   * the noise, where something else sounds: the mean over its bins goes up and down by less (6 dB).
   */
  private static final float RISES = 4;

  private final Parts parts;

  /** By part: the least power over noise power since the note. */
  private final float[] least;

  /** By part: the power over noise power in this frame. */
  private final float[] power;

  /** By part: the least power over noise power between this frame and the next note. */
  private final float[] ahead;

  /** By part: whether something else sounds in it. */
  private final boolean[] closed;

  /** By part: whether that came up in this frame. */
  private final boolean[] risen;

  private boolean noteSeen;

  AfterNote(int bins) {
    parts = new Parts(bins);
    least = new float[parts.count()];
    power = new float[parts.count()];
    ahead = new float[parts.count()];
    closed = new boolean[parts.count()];
    risen = new boolean[parts.count()];
  }

  /** Starts anew: it was quiet. */
  void reset() {
    noteSeen = false;
  }

  /** A frame that holds a note. */
  void note() {
    noteSeen = true;
    Arrays.fill(least, Float.MAX_VALUE);
    Arrays.fill(closed, false);
  }

  /**
   * Takes the next frame, which holds no note, and closes the parts in which something else comes
   * up. Of what comes up before another note, only what falls again before that is something else:
   * a note may swell.
   *
   * @param history power over noise power of each bin, by frame
   * @param ago how many frames this one lies before the last
   * @param toNote frames from this one to the next that holds a note, or to the last, {@code ago}
   * @param near 1 for each part in which something sounds; 0 afterwards where it is no tail
   * @return whether anything still sounds
   */
  boolean next(RatioHistory history, int ago, int toNote, byte[] near) {
    if (!noteSeen) {
      return true;
    }
    means(history, ago, power);
    boolean rises = false;
    for (int p = 0; p < power.length; p++) {
      float usual = Math.max(1, least[p]);
      least[p] = Math.min(least[p], power[p]);
      boolean isUp = power[p] > (closed[p] ? usual : RISES * usual);
      risen[p] = isUp && !closed[p];
      rises |= risen[p];
      closed[p] = isUp;
    }
    if (rises && toNote < ago) {
      keepWhatGoesOn(history, ago, toNote);
    }
    boolean sounds = false;
    for (int p = 0; p < near.length; p++) {
      near[p] = closed[p] ? 0 : near[p];
      sounds |= near[p] > 0;
    }
    return sounds;
  }

  private void keepWhatGoesOn(RatioHistory history, int ago, int toNote) {
    Arrays.fill(ahead, Float.MAX_VALUE);
    for (int frame = 1; frame < toNote; frame++) {
      parts.take(history.ratio(ago - frame));
      for (int p = 0; p < ahead.length; p++) {
        ahead[p] = Math.min(ahead[p], parts.mean(p, 0));
      }
    }
    for (int p = 0; p < ahead.length; p++) {
      // Only what has just come up may be a note; what was closed before stays closed.
      closed[p] &= !risen[p] || RISES * ahead[p] < power[p];
    }
  }

  private void means(RatioHistory history, int ago, float[] out) {
    parts.take(history.ratio(ago));
    for (int p = 0; p < out.length; p++) {
      out[p] = parts.mean(p, 0);
    }
  }
}
