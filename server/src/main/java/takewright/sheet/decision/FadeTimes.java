package takewright.sheet.decision;

/**
 * How long a sample fades, as a person wants it. What is null is as usual.
 *
 * @param inMs from its start, in milliseconds, 0 to 10000
 * @param outMs to its end, in milliseconds, 0 to 60000
 */
public record FadeTimes(Double inMs, Double outMs) {
  /** Both as usual. */
  public static final FadeTimes USUAL = new FadeTimes(null, null);

  /** Both; what the later one says holds. */
  public FadeTimes then(FadeTimes later) {
    return new FadeTimes(
        later.inMs == null ? inMs : later.inMs, later.outMs == null ? outMs : later.outMs);
  }
}
