package takewright.analyse;

/**
 * The pitch of a sample over time.
 *
 * @param deviationCents standard deviation of the pitch over the steady part, weighted by level, in
 *     cents
 * @param driftCents how far the pitch moves from the start of the steady part to its end, by the
 *     line that fits best, in cents
 * @param vibratoHz rate of the vibrato in hertz, 3 to 10; NaN if there is none
 * @param vibratoCents how far it swings to either side, in cents; NaN if there is none
 * @param glideFromHz where a glide starts, in hertz; NaN if the pitch does not glide
 * @param glideToHz where it ends, in hertz; NaN if the pitch does not glide
 * @param voiced share of the steady part in which a pitch is heard, 0 to 1
 */
public record Course(
    double deviationCents,
    double driftCents,
    double vibratoHz,
    double vibratoCents,
    double glideFromHz,
    double glideToHz,
    double voiced) {
  /** Whether the pitch glides. */
  public boolean glides() {
    return !Double.isNaN(glideFromHz);
  }
}
