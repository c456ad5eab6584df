package takewright.analyse;

/** How often a pitch whose votes agree so far is the right one. */
final class Confidence {
  private Confidence() {}

  /**
   * The chance that the note is right, 0 to 1.
   *
   * @param share share of the votes that speak for it
   */
  static double of(double share) {
    return share;
  }
}
