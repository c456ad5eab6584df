package takewright.library;

/** Which part of the work a build is at. */
public enum BuildStep {
  /** Finding the regions of a take. */
  SEGMENT,
  /** Matching them with the sheet. */
  MATCH,
  /** Cleaning, tuning and writing samples. */
  WRITE,
  /** Drawing the page that shows it. */
  REPORT
}
