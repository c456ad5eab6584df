package takewright.segment;

/**
 * Settings of a segmentation.
 *
 * @param kind what the take holds, or null: each region is classified by itself
 * @param leadInMs silence before each onset, in milliseconds, 0 to 1000
 * @param onThresholdDb rise above the room tone that starts a region, in dB, 3 to 60
 * @param offThresholdDb rise above the room tone that a region keeps, in dB, 1 to {@code
 *     onThresholdDb}
 * @param minGapMs a gap up to this length does not split a region, in milliseconds, 0 to 10000
 * @param minLengthMs shorter sounds are rejected, in milliseconds, 1 to 10000
 * @param tuningHz frequency of A4 in hertz, 392 to 466
 */
public record SegmentSettings(
    Kind kind,
    double leadInMs,
    double onThresholdDb,
    double offThresholdDb,
    double minGapMs,
    double minLengthMs,
    double tuningHz) {

  /** What is right for most takes. */
  public static final SegmentSettings DEFAULTS = new SegmentSettings(null, 10, 9, 3, 250, 50, 440);

  public SegmentSettings {
    require(leadInMs >= 0 && leadInMs <= 1000, "lead_in_ms", "0 to 1000", leadInMs);
    require(onThresholdDb >= 3 && onThresholdDb <= 60, "on_threshold_db", "3 to 60", onThresholdDb);
    require(
        offThresholdDb >= 1 && offThresholdDb <= onThresholdDb,
        "off_threshold_db",
        "1 to on_threshold_db",
        offThresholdDb);
    require(minGapMs >= 0 && minGapMs <= 10_000, "min_gap_ms", "0 to 10000", minGapMs);
    require(minLengthMs >= 1 && minLengthMs <= 10_000, "min_length_ms", "1 to 10000", minLengthMs);
    require(tuningHz >= 392 && tuningHz <= 466, "tuning_hz", "392 to 466", tuningHz);
  }

  private static void require(boolean holds, String field, String range, double value) {
    if (!holds) {
      throw new IllegalArgumentException(field + " must be " + range + ", not " + value);
    }
  }

  /** The defaults for a take of this kind; null for a take of any kind. */
  public static SegmentSettings forKind(Kind kind) {
    double gap = kind == Kind.PHRASE ? 700 : DEFAULTS.minGapMs;
    return new SegmentSettings(
        kind,
        DEFAULTS.leadInMs,
        DEFAULTS.onThresholdDb,
        DEFAULTS.offThresholdDb,
        gap,
        DEFAULTS.minLengthMs,
        DEFAULTS.tuningHz);
  }
}
