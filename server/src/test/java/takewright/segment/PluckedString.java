package takewright.segment;

/** A made string whose partials die away, the higher the faster. */
public final class PluckedString {
  /** Partials above the twentieth die away as fast as that. */
  private static final int FASTEST = 20;

  private PluckedString() {}

  /**
   * How a string is plucked and stopped.
   *
   * @param partials how many it has
   * @param dull power of k by which the k-th partial is softer
   * @param risesS seconds within which it is there
   * @param stopsS seconds within which it is gone
   */
  record Pluck(int partials, double dull, double risesS, double stopsS) {
    /** Of the partials up to 12 kHz, the k-th of which is softer as 1/k. */
    static Pluck bright(double hz) {
      return new Pluck((int) Math.ceil(12_000 / hz) - 1, 1, 0.002, 0.05);
    }
  }

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
    add(x, rate, level, at, seconds, hz, new Pluck(20, 1, 0.002, 0.05));
  }

  /** The same as it is plucked and stopped. */
  static void add(
      float[] x, int rate, double level, double at, double seconds, double hz, Pluck pluck) {
    int from = (int) (at * rate);
    double[] sum = new double[(int) Math.min(Math.ceil(seconds * rate), x.length - from)];
    for (int k = 1; k <= pluck.partials(); k++) {
      double loud = level / Math.pow(k, pluck.dull());
      double dies = 0.25 + 0.35 * Math.min(k, FASTEST);
      addPartial(sum, 2 * Math.PI * k * hz / rate, (double) k * k, loud, Math.exp(-dies / rate));
    }
    for (int i = 0; i < sum.length; i++) {
      double t = (double) i / rate;
      double ends = Math.min(1, (seconds - t) / pluck.stopsS());
      x[from + i] += (float) (sum[i] * ends * Math.min(1, t / pluck.risesS()));
    }
  }

  /** Turned on from sample to sample, which takes a tenth of the time of a sine for each. */
  private static void addPartial(
      double[] to, double angle, double phase, double level, double kept) {
    double turnRe = kept * Math.cos(angle);
    double turnIm = kept * Math.sin(angle);
    double re = level * Math.cos(phase);
    double im = level * Math.sin(phase);
    for (int i = 0; i < to.length; i++) {
      to[i] += im;
      double next = re * turnRe - im * turnIm;
      im = re * turnIm + im * turnRe;
      re = next;
    }
  }
}
