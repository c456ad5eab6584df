package takewright.analyse;

/**
 * How often a pitch whose votes agree so far is the right one: measured on every other recording,
 * pieces of 0.12 to 1 s in white noise and in room noise from 30 dB below the note to 12 dB above
 * it.
 */
final class Confidence {
  /** Shares of the votes, and how often the note was right at each. */
  private static final double[] SHARES = {0.5, 0.6, 0.8, 0.9, 1};

  private static final double[] RIGHT = {0.75, 0.9, 0.95, 0.99, 1};

  private Confidence() {}

  /**
   * The chance that the note is right, 0 to 1.
   *
   * @param share share of the votes that speak for it; below a half there is no pitch
   */
  static double of(double share) {
    if (share <= SHARES[0]) {
      return RIGHT[0] * share / SHARES[0];
    }
    int k = 1;
    while (k < SHARES.length - 1 && share > SHARES[k]) {
      k++;
    }
    double part = Math.min(1, (share - SHARES[k - 1]) / (SHARES[k] - SHARES[k - 1]));
    return RIGHT[k - 1] + part * (RIGHT[k] - RIGHT[k - 1]);
  }
}
