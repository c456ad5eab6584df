package takewright.pitch;

/**
 * A histogram of pitches. Its bins find where most votes fall; the pitch is the mean of the votes
 * there, as the middle of a bin may be 5 cents off.
 */
final class PitchVotes {
  /** Lowest pitch of the histogram, in hertz: an octave below the usual ones, down to 16 Hz. */
  static final double BASE_HZ = PitchDetector.LOWEST_HZ / 2;

  /** Bins an octave: 10 cents each, fine against a semitone and coarse against noise. */
  private static final int BINS_PER_OCTAVE = 120;

  /** From there to twice the highest usual pitch: 9 kHz. */
  private static final int BINS =
      (int)
          Math.ceil(
              BINS_PER_OCTAVE * Math.log(2 * PitchDetector.HIGHEST_HZ / BASE_HZ) / Math.log(2));

  /** Bins to either side whose votes speak for the same note. */
  private static final int REACH = PitchTrack.REACH_CENTS * BINS_PER_OCTAVE / 1200;

  /** How much a vote counts for each bin within reach: the farther the less. */
  private static final double[] SHARE = new double[2 * REACH + 1];

  static {
    for (int away = -REACH; away <= REACH; away++) {
      SHARE[away + REACH] = REACH + 1 - Math.abs(away);
    }
  }

  private final double[] weights = new double[BINS];

  /** Sum of weight times place, in bins from the lowest pitch. */
  private final double[] places = new double[BINS];

  /** Adds a vote; answers whether the histogram reaches so far. */
  boolean add(double hertz, double weight) {
    double place = BINS_PER_OCTAVE * Math.log(hertz / BASE_HZ) / Math.log(2);
    int bin = (int) Math.floor(place);
    if (bin < 0 || bin >= BINS) {
      return false;
    }
    weights[bin] += weight;
    places[bin] += weight * place;
    return true;
  }

  /** The mean of the pitches around the place where most votes fall, in hertz. */
  double strongest() {
    int best = 0;
    double max = -1;
    for (int b = 0; b < BINS; b++) {
      double sum = 0;
      for (int k = Math.max(0, b - REACH); k <= Math.min(BINS - 1, b + REACH); k++) {
        sum += weights[k] * SHARE[k - b + REACH];
      }
      if (sum > max) {
        max = sum;
        best = b;
      }
    }
    double weight = 0;
    double place = 0;
    for (int k = Math.max(0, best - REACH); k <= Math.min(BINS - 1, best + REACH); k++) {
      weight += weights[k];
      place += places[k];
    }
    return BASE_HZ * Math.pow(2, place / weight / BINS_PER_OCTAVE);
  }
}
