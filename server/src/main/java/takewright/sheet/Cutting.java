package takewright.sheet;

import takewright.pitch.Kind;
import takewright.segment.SegmentSettings;

/**
 * How a take is cut into regions. What is null is as usual for its kind.
 *
 * @param fromMarkers whether the regions are the markers of the take's files, as a person edited
 *     them, and are not looked for
 * @param startDb rise above the room tone that starts a region, in dB, 3 to 60
 * @param endDb rise above the room tone that a region keeps, in dB, 1 to {@code startDb}
 * @param minGapMs a gap up to this length does not split a region, in milliseconds, 0 to 10000
 * @param minLengthMs shorter sounds are rejected, in milliseconds, 1 to 10000
 * @param letRing whether notes ring into the next on purpose: then a tail that is cut where the
 *     next note begins is no fault
 */
public record Cutting(
    boolean fromMarkers,
    Double startDb,
    Double endDb,
    Double minGapMs,
    Double minLengthMs,
    boolean letRing) {
  /** As usual. */
  public static final Cutting USUAL = new Cutting(false, null, null, null, null, false);

  /** The same for notes that ring into the next on purpose, or do not. */
  public Cutting ringing(boolean isOnPurpose) {
    return new Cutting(fromMarkers, startDb, endDb, minGapMs, minLengthMs, isOnPurpose);
  }

  /**
   * The settings of a segmentation.
   *
   * @param leadInMs silence kept before each onset, in milliseconds
   * @param tuningHz frequency of A4 in hertz
   */
  public SegmentSettings settings(Kind kind, double leadInMs, double tuningHz) {
    SegmentSettings usual = SegmentSettings.forKind(kind);
    return new SegmentSettings(
        kind,
        leadInMs,
        startDb == null ? usual.onThresholdDb() : startDb,
        endDb == null ? usual.offThresholdDb() : endDb,
        minGapMs == null ? usual.minGapMs() : minGapMs,
        minLengthMs == null ? usual.minLengthMs() : minLengthMs,
        tuningHz);
  }
}
