package takewright.segment;

/** How loud a room is, frequency by frequency, and how loud it becomes by itself now and then. */
final class RoomSpread {
  /**
   * Share of the decibels by which the room strays once in ten minutes that it strays by within the
   * fraction of a second before a sound: two of 4.6 standard deviations.
   */
  private static final double SOON = 0.43;

  private final BandSpectrum bands;
  private final double[] high;

  /** What the room is like at a moment. */
  RoomSpread(Room room, BandSpectrum bands) {
    this.bands = bands;
    high = new double[bands.count()];
    for (int b = 0; b < high.length; b++) {
      double bin = room.power(b) * Math.pow(10, SOON * room.strayDb(b) / 10);
      high[b] = bin / bands.binHz();
    }
  }

  /** Power density at a frequency that it reaches now and then, as a mean square per hertz. */
  double high(double hertz) {
    return high[bands.bandOf((int) Math.round(hertz / bands.binHz()))];
  }
}
