package takewright.dsp;

/** Converts between ratios and decibels. A ratio of 0 is minus infinity, and vice versa. */
public final class Decibels {
  private Decibels() {}

  /** 20 log10 of an amplitude ratio of 0 or more. */
  public static double fromAmplitude(double ratio) {
    return 20 * Math.log10(ratio);
  }

  /** The amplitude ratio of a level in dB. */
  public static double toAmplitude(double db) {
    return Math.pow(10, db / 20);
  }

  /** 10 log10 of a power ratio of 0 or more. */
  public static double fromPower(double ratio) {
    return 10 * Math.log10(ratio);
  }

  /** The power ratio of a level in dB. */
  public static double toPower(double db) {
    return Math.pow(10, db / 10);
  }
}
