package takewright.library.take;

import takewright.segment.Segmentation;
import takewright.sheet.Take;

/**
 * What a build has heard in a take, for display.
 *
 * @param take the take
 * @param segmentation what was found in its main microphone
 * @param levels peak of each {@link LevelStrip#STEP_S} of it, a byte a step: 0 for -80 dBFS or less
 *     to 255 for full scale; not a copy
 */
public record TakeHeard(Take take, Segmentation segmentation, byte[] levels) {
  /** How long its samples fade in, in seconds, where so much lies before the onset. */
  public double fadeInS(double leadInS) {
    return Fades.FADE_IN_SHARE * leadInS;
  }

  /** How long its samples fade out, in seconds. */
  public double fadeOutS() {
    return take.treatment().trimmed() ? Fades.TRIMMED_FADE_S : Fades.FADE_OUT_S;
  }
}
