package takewright.segment;

import takewright.diagnosis.SettingException;
import takewright.pitch.Kind;

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

  /** Defaults for most takes. */
  public static final SegmentSettings DEFAULTS = new SegmentSettings(null, 10, 9, 3, 250, 50, 440);

  public SegmentSettings {
    SettingException.requireRange("lead_in_ms", leadInMs, 0, 1000, "ms");
    SettingException.requireRange("on_threshold_db", onThresholdDb, 3, 60, "dB");
    SettingException.requireRange("off_threshold_db", offThresholdDb, 1, onThresholdDb, "dB");
    SettingException.requireRange("min_gap_ms", minGapMs, 0, 10_000, "ms");
    SettingException.requireRange("min_length_ms", minLengthMs, 1, 10_000, "ms");
    SettingException.requireRange("tuning_hz", tuningHz, 392, 466, "Hz");
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
