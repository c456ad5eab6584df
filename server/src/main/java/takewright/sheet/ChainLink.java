package takewright.sheet;

import takewright.layer.Effect;

/**
 * One effect of a layer's chain, as a sheet writes it.
 *
 * @param effect the effect; of a delay in note values the time is not known yet
 * @param noteValue for instance "1/8", by the tempo of the take; null for none
 */
public record ChainLink(Effect effect, String noteValue) {
  /** The effect for a take; {@code tempoBpm} is needed where there is a note value. */
  public Effect at(Double tempoBpm) {
    if (noteValue == null) {
      return effect;
    }
    Effect.Delay delay = (Effect.Delay) effect;
    return new Effect.Delay(
        Effect.Delay.timeMs(noteValue, tempoBpm),
        delay.feedback(),
        delay.lowPassHz(),
        delay.wetDb());
  }
}
