package takewright.segment;

/** A made string whose partials die away, the higher the faster. */
public final class PluckedString {
  private PluckedString() {}

  /**
   * Adds one to audio.
   *
   * @param x audio, full scale at ±1
   * @param rate in hertz
   * @param level of the lowest partial at its beginning; the others are softer as 1/k
   * @param at where it is plucked, in seconds
   * @param seconds after which it is stopped
   * @param hz of the lowest partial
   */
  public static void add(float[] x, int rate, double level, double at, double seconds, double hz) {
    int from = (int) (at * rate);
    for (int i = 0; i < seconds * rate && from + i < x.length; i++) {
      double t = (double) i / rate;
      double ends = Math.min(1, (seconds - t) / 0.05);
      for (int k = 1; k <= 20; k++) {
        double loud = level / k * Math.exp(-t * (0.25 + 0.35 * k)) * Math.min(1, t / 0.002);
        x[from + i] += (float) (ends * loud * Math.sin(2 * Math.PI * k * hz * t + k * k));
      }
    }
  }
}
