package takewright.analyse;

/**
 * Settings of an analysis.
 *
 * @param unpitched whether the sample is known to have no pitch, so that none is looked for
 * @param tuningHz frequency of A4 in hertz, 392 to 466
 */
public record AnalyseSettings(boolean unpitched, double tuningHz) {
  /** What is right for most samples. */
  public static final AnalyseSettings DEFAULTS = new AnalyseSettings(false, 440);

  public AnalyseSettings {
    if (!(tuningHz >= 392 && tuningHz <= 466)) {
      throw new IllegalArgumentException("tuning_hz must be 392 to 466, not " + tuningHz);
    }
  }
}
