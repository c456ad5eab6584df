package takewright.segment.flaw;

import java.util.function.IntToDoubleFunction;

/**
 * For how long the partials of a note stand out from what lies beside them: a blow or a room that
 * goes on behind a note lifts both alike.
 */
public final class PartialsHeard {
  /** Partials that are listened to, from the lowest on; what rings longest is among them. */
  private static final int PARTIALS = 6;

  /** Bins on either side of a partial that belong to it: its main lobe. */
  private static final int LOBE = 1;

  /** Bins between a partial and those that it is compared with. */
  private static final int GUARD = 3;

  /** Bins on either side that it is compared with, at most. */
  private static final int BESIDE = 10;

  /** Fewer show nothing: notes below 165 Hz at 23 Hz a bin. */
  private static final int LEAST_BESIDE = 2;

  /** Columns that are taken together (64 ms). */
  private static final int COLUMNS = 3;

  /**
   * A partial is heard that stands out by this, as a power ratio (6 dB): mere noise does so once in
   * 10,000 columns.
   */
  private static final double STANDS_OUT = 4;

  private PartialsHeard() {}

  /**
   * Index behind the last column in which a note's partials are heard; {@code to} where they lie
   * too close to be told from what is between them.
   *
   * @param spectra power by bin, column after column
   * @param bins of a column
   * @param partial bins from one partial to the next
   * @param from index of the note's first column
   * @param to index behind its last
   * @param room usual power of the room in a bin
   */
  public static int end(
      float[] spectra, int bins, double partial, int from, int to, IntToDoubleFunction room) {
    int beside = (int) Math.min(BESIDE, partial - 2 * GUARD + 1);
    if (beside < LEAST_BESIDE) {
      return to;
    }
    for (int column = to; column > from; column--) {
      int first = Math.max(from, column - COLUMNS);
      for (int h = 1; h <= PARTIALS; h++) {
        int at = (int) Math.round(h * partial);
        if (at + GUARD + beside < bins
            && standsOut(spectra, bins, at, beside, first, column, room.applyAsDouble(at))) {
          return column;
        }
      }
    }
    return from;
  }

  private static boolean standsOut(
      float[] spectra, int bins, int at, int beside, int from, int to, double room) {
    double own = 0;
    double around = 1e-20;
    for (int column = from; column < to; column++) {
      int base = column * bins + at;
      for (int k = -LOBE; k <= LOBE; k++) {
        own += spectra[base + k];
      }
      for (int k = GUARD; k < GUARD + beside; k++) {
        around += spectra[base + k] + spectra[base - k];
      }
    }
    double least = STANDS_OUT * Math.max(around / (2 * beside), room * (to - from));
    return own / (2 * LOBE + 1) > least;
  }
}
