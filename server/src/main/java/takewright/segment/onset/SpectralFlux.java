package takewright.segment.onset;

import takewright.dsp.Decibels;
import takewright.segment.room.Columns;
import takewright.segment.room.Room;

/** How far the bands of a sound rise at a column: the spectral flux of Bello et al., 2005. */
public final class SpectralFlux {
  /** Most of a band's rise that counts, in dB, so that no single band decides. */
  private static final double MOST_DB = 20;

  /** A band sounds where it lies this far above the room, as a power ratio (6 dB). */
  private static final double SOUNDS = 4;

  private final Columns columns;

  /** Of the last columns that were asked for, and which they are. */
  private final double[] fluxes = new double[4];

  private final long[] known = {-1, -1, -1, -1};

  public SpectralFlux(Columns columns) {
    this.columns = columns;
  }

  /**
   * Mean rise in dB, from the columns before to those after, of all bands that sound: 0 to 20. A
   * column is measured by the room that is given first, since it is compared with its neighbours
   * and the room may be learnt anew meanwhile.
   */
  public double at(long column, Room room) {
    int at = (int) (column % fluxes.length);
    if (known[at] != column) {
      known[at] = column;
      fluxes[at] = measured(column, room);
    }
    return fluxes[at];
  }

  /** Whether no neighbour of a column rises by more than it does. */
  public boolean isPeak(long column, Room room) {
    double here = at(column, room);
    return at(column - 1, room) <= here && at(column + 1, room) < here;
  }

  /** The same as {@link #at} by this room, whatever was asked for before. */
  public double measured(long column, Room room) {
    double sum = 0;
    int sounding = 0;
    for (int b = 0; b < columns.bandCount(); b++) {
      double before = columns.band(b, column - 3) + columns.band(b, column - 2);
      double after = columns.band(b, column) + columns.band(b, column + 1);
      double floor = 2 * Math.max(SOUNDS * room.power(b), room.stay(b));
      if (before > floor || after > floor) {
        sounding++;
        double rise =
            Decibels.fromPower(
                (Math.max(after, floor) + 1e-14) / (Math.max(before, floor) + 1e-14));
        sum += Math.max(0, Math.min(MOST_DB, rise));
      }
    }
    return sounding == 0 ? 0 : sum / sounding;
  }
}
