package takewright.pitch;

/**
 * How often a pitch whose votes agree so far is the right one: measured on every other recording,
 * pieces of 0.12 to 1 s in white noise and in room noise from 30 dB below the note to 12 dB above
 * it.
 */
public final class Confidence {
  /** Shares of the votes, and how often the note was right at each. */
  private static final double[] SHARES = {0.5, 0.6, 0.8, 0.9, 1};

  private static final double[] RIGHT = {0.75, 0.9, 0.95, 0.99, 1};

  /**
   * Probabilities of the likeliest period of a single window, and how often it was the right one:
   * of every other recording in the same noises. Noise alone has no period that is likely enough.
   */
  private static final double[] PROBABILITIES = {0, 0.07, 0.28, 0.5, 0.65, 1};

  private static final double[] RIGHT_ALONE = {0.8, 0.83, 0.93, 0.985, 0.995, 1};

  private Confidence() {}

  /**
   * The chance that the note is right, 0 to 1.
   *
   * @param share share of the votes that speak for it; below a half there is no pitch
   */
  static double of(double share) {
    return share <= SHARES[0] ? RIGHT[0] * share / SHARES[0] : between(SHARES, RIGHT, share);
  }

  /**
   * The chance that the pitch of a single window is that of the note, 0 to 1.
   *
   * @param probability that of the period in the window, 0 to 1
   */
  public static double alone(double probability) {
    return between(PROBABILITIES, RIGHT_ALONE, probability);
  }

  private static double between(double[] xs, double[] ys, double x) {
    int k = 1;
    while (k < xs.length - 1 && x > xs[k]) {
      k++;
    }
    double part = Math.min(1, (x - xs[k - 1]) / (xs[k] - xs[k - 1]));
    return ys[k - 1] + part * (ys[k] - ys[k - 1]);
  }
}
