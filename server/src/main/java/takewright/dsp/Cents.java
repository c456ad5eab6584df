package takewright.dsp;

/** Converts between ratios of frequencies and cents, hundredths of an equal semitone. */
public final class Cents {
  private static final double PER_OCTAVE = 1200;

  private Cents() {}

  /** How far a frequency lies above a reference, in cents; negative where it is below. */
  public static double above(double hz, double referenceHz) {
    return PER_OCTAVE * Math.log(hz / referenceHz) / Math.log(2);
  }

  /** How far two frequencies lie apart, in cents: 0 or more. */
  public static double apart(double hz, double otherHz) {
    return Math.abs(above(hz, otherHz));
  }

  /** The ratio of two frequencies by their distance in cents. */
  public static double toRatio(double cents) {
    return Math.pow(2, cents / PER_OCTAVE);
  }

  /** The same without whole octaves: -600 to 600 cents. */
  public static double withinOctave(double cents) {
    return cents - PER_OCTAVE * Math.round(cents / PER_OCTAVE);
  }

  /**
   * Distance of two frequencies in cents, whatever the octave in which either is heard: 0 to 600.
   */
  public static double apartInOctave(double a, double b) {
    double cents = apart(a, b) % 1200;
    return Math.min(cents, 1200 - cents);
  }
}
