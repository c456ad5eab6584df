package takewright.segment.room;

/**
 * The bands of a room that fall within its pauses: low strings die away in them for longer than the
 * pauses last, and what is heard there is not the room. Of these bands only the ends of the pauses
 * tell how loud the room is.
 *
 * <p>The levels of all pauses are compared with the time since each began, by a straight line with
 * one slope for all (within-groups regression).
 */
final class FallingBands {
  /** A pause that is shorter, in slabs, shows no fall. */
  private static final int SHORTEST = 3;

  /** Fewer slabs in such pauses do not tell whether a band falls. */
  private static final int FEWEST = 6;

  /** The last third of a pause is its end. */
  private static final int LATE_PARTS = 3;

  /** A slope is a fall where it lies this many standard errors below 0: one in 700 by chance. */
  private static final double SURE = 3;

  /** A fall by less than this within a pause, in dB, does no harm to a level. */
  private static final double LEAST_DB = 2;

  private final Slabs slabs;
  private final int[] age;
  private final int[] first;
  private final int[] length;
  private int pauses;

  FallingBands(Slabs slabs, int most) {
    this.slabs = slabs;
    age = new int[most];
    first = new int[most + 1];
    length = new int[most];
  }

  /**
   * Finds the pauses among slabs.
   *
   * @param quiet slabs of the room, in order or backwards
   */
  void lay(long[] quiet, int count) {
    pauses = 0;
    int from = 0;
    for (int i = 1; i <= count; i++) {
      if (i == count || Math.abs(quiet[i] - quiet[i - 1]) != 1) {
        boolean isBackwards = quiet[i - 1] < quiet[from];
        for (int k = from; k < i; k++) {
          age[k] = isBackwards ? i - 1 - k : k - from;
          length[k] = i - from;
        }
        first[pauses++] = from;
        from = i;
      }
    }
    first[pauses] = count;
  }

  /** Whether a slab, as they were laid, is one of the last of its pause. */
  boolean isLate(int i) {
    return length[i] >= SHORTEST && age[i] >= length[i] * (LATE_PARTS - 1) / LATE_PARTS;
  }

  /** Whether a band falls in the pauses. */
  boolean falls(int band, long[] quiet) {
    double times = 0;
    double both = 0;
    double levels = 0;
    int slabsUsed = 0;
    int pausesUsed = 0;
    for (int p = 0; p < pauses; p++) {
      int n = first[p + 1] - first[p];
      if (n < SHORTEST) {
        continue;
      }
      double meanDb = 0;
      for (int i = first[p]; i < first[p + 1]; i++) {
        meanDb += slabs.db(band, quiet[i]) / n;
      }
      for (int i = first[p]; i < first[p + 1]; i++) {
        double time = age[i] - (n - 1) / 2.0;
        double db = slabs.db(band, quiet[i]) - meanDb;
        times += time * time;
        both += time * db;
        levels += db * db;
      }
      slabsUsed += n;
      pausesUsed++;
    }
    if (slabsUsed < FEWEST) {
      return false;
    }
    double slope = both / times;
    double rest = Math.max(1e-9, levels - slope * both) / Math.max(1, slabsUsed - pausesUsed - 1);
    double fallDb = -slope * 2 * Math.sqrt(times / slabsUsed);
    return slope < -SURE * Math.sqrt(rest / times) && fallDb > LEAST_DB;
  }
}
