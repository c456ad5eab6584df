package takewright.sheet;

/**
 * How a take is cut.
 *
 * @param fromMarkers whether its regions are the markers of its files, as a person edited them, and
 *     are not looked for
 */
public record Cutting(boolean fromMarkers) {
  /** The regions are looked for. */
  public static final Cutting USUAL = new Cutting(false);
}
