package takewright.library;

/** Which part of the work a build is at. */
public enum BuildStep {
  /** Finding the regions of a take. */
  SEGMENT,
  /** Measuring the regions and matching them with the sheet. */
  MATCH,
  /** Cleaning, tuning and writing samples. */
  WRITE
}
