package takewright.testing;

/**
 * A held note made by arithmetic: partials whose amplitude falls as one over their number, none in
 * step with another, and a level that rises and falls in straight lines.
 *
 * @param rate sample rate in hertz
 * @param hz frequency of the lowest partial
 * @param seconds length, the rise and the fall included
 * @param partials how many there are
 * @param attackS how long the level rises, in seconds
 * @param releaseS how long it falls at the end, in seconds
 * @param decayDb how fast it dies away all the while, in dB per second
 * @param fallCents how far the pitch falls from the beginning to the end, evenly
 */
public record HeldTone(
    int rate,
    double hz,
    double seconds,
    int partials,
    double attackS,
    double releaseS,
    double decayDb,
    double fallCents) {
  /** Eight partials that rise within 20 ms and fall within 100 ms at the end. */
  public static HeldTone of(int rate, double hz, double seconds) {
    return new HeldTone(rate, hz, seconds, 8, 0.02, 0.1, 0, 0);
  }

  /** Five partials that set in within 4 ms and stop within 16 ms. */
  public static HeldTone crisp(int rate, double hz, double seconds) {
    return of(rate, hz, seconds).withPartials(5).rising(0.004).ending(0.016);
  }

  /** The frequency of a MIDI note, tuned to A4 of 440 Hz, in hertz. */
  public static double hz(double midi) {
    return 440 * Math.pow(2, (midi - 69) / 12);
  }

  public HeldTone withPartials(int count) {
    return new HeldTone(rate, hz, seconds, count, attackS, releaseS, decayDb, fallCents);
  }

  public HeldTone rising(double riseS) {
    return new HeldTone(rate, hz, seconds, partials, riseS, releaseS, decayDb, fallCents);
  }

  public HeldTone ending(double fallS) {
    return new HeldTone(rate, hz, seconds, partials, attackS, fallS, decayDb, fallCents);
  }

  public HeldTone dyingAway(double dbPerSecond) {
    return new HeldTone(rate, hz, seconds, partials, attackS, releaseS, dbPerSecond, fallCents);
  }

  public HeldTone falling(double cents) {
    return new HeldTone(rate, hz, seconds, partials, attackS, releaseS, decayDb, cents);
  }

  /** The sound itself; its peak lies between 1 and the sum of its partials. */
  public float[] samples() {
    float[] x = new float[(int) Math.round(seconds * rate)];
    double cycles = 0;
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / rate;
      double loud = Math.min(1, t / attackS) * Math.min(1, (seconds - t) / releaseS);
      loud *= Math.pow(10, -decayDb * t / 20);
      for (int k = 1; k <= partials; k++) {
        x[i] += (float) (loud * Math.sin(2 * Math.PI * k * cycles + k) / k);
      }
      cycles += hz * Math.pow(2, fallCents * (0.5 - t / seconds) / 1200) / rate;
    }
    return x;
  }
}
