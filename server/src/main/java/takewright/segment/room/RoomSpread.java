package takewright.segment.room;

import takewright.dsp.Decibels;

/** How loud a room is, frequency by frequency, and how loud it becomes by itself now and then. */
public final class RoomSpread {
  /**
   * Share of the decibels by which the room strays once in ten minutes that it strays by within the
   * fraction of a second before a sound: two of 4.6 standard deviations.
   */
  private static final double SOON = 0.43;

  private final BandSpectrum bands;
  private final double[] soon;
  private final double[] ever;

  /** What the room is like at a moment. */
  public RoomSpread(Room room, BandSpectrum bands) {
    this.bands = bands;
    soon = new double[bands.count()];
    ever = new double[bands.count()];
    for (int b = 0; b < soon.length; b++) {
      double usual = room.power(b) / bands.binHz();
      soon[b] = usual * Decibels.toPower(SOON * room.strayDb(b));
      ever[b] = usual * Decibels.toPower(room.strayDb(b));
    }
  }

  /** Power density at a frequency that it reaches now and then, as a mean square per hertz. */
  public double soon(double hertz) {
    return soon[band(hertz)];
  }

  /** Power density that it reaches once in ten minutes, as a mean square per hertz. */
  public double ever(double hertz) {
    return ever[band(hertz)];
  }

  private int band(double hertz) {
    return bands.bandOf((int) Math.round(hertz / bands.binHz()));
  }
}
