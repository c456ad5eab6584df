package takewright.sheet;

import takewright.retune.Temperament;

/**
 * How the notes of a library are brought in tune.
 *
 * @param temperament where the notes lie against equal temperament
 * @param limitCents a note further off than this is flagged and left alone, in cents, 0 to 1200
 * @param steadyPitch whether slow drift within a note is made level
 */
public record TuningRules(Temperament temperament, double limitCents, boolean steadyPitch) {
  /** Equal temperament; 60 cents, since beyond it a note is rather another one; as it drifts. */
  public static final TuningRules DEFAULTS = new TuningRules(Temperament.EQUAL, 60, false);
}
