package takewright.loop;

/**
 * The mean pitch of a stretch, by how the phase of its strongest harmonic goes on from period to
 * period: all turns are counted, the soft ones as well as the loud.
 */
final class MeanPitch {
  /**
   * Harmonics that are tried: the sixth still turns by less than half where a note is a quarter
   * tone off.
   */
  private static final int HARMONICS = 6;

  /** Periods of a window: under a Hann window no other harmonic is left. */
  private static final int PERIODS = 4;

  /** Which harmonic is the strongest is heard in every so manieth period. */
  private static final int SELDOM = 8;

  private MeanPitch() {}

  /**
   * How far it lies above the expected, in cents.
   *
   * @param cyclesASample the expected frequency
   */
  static double cents(float[] x, int from, int count, double cyclesASample) {
    double periods = count * cyclesASample;
    int strongest = 1;
    double max = -1;
    for (int k = 1; k <= HARMONICS && k * cyclesASample < 0.4; k++) {
      double power = follow(x, from, count, cyclesASample, k, (int) periods / SELDOM)[1];
      if (power > max) {
        max = power;
        strongest = k;
      }
    }
    double more = follow(x, from, count, cyclesASample, strongest, (int) periods)[0];
    return 1200 / Math.log(2) * Math.log1p(more / strongest / periods);
  }

  /** By how many turns a harmonic goes on more than expected, and its power. */
  private static double[] follow(
      float[] x, int from, int count, double cyclesASample, int k, int steps) {
    double cycles = k * cyclesASample;
    int window = (int) Math.round(PERIODS / cyclesASample);
    double[] cos = new double[window];
    double[] sin = new double[window];
    for (int i = 0; i < window; i++) {
      double hann = 0.5 - 0.5 * Math.cos(2 * Math.PI * (i + 0.5) / window);
      cos[i] = hann * Math.cos(2 * Math.PI * cycles * i);
      sin[i] = hann * Math.sin(2 * Math.PI * cycles * i);
    }
    int places = Math.max(1, steps);
    double before = 0;
    double turns = 0;
    double power = 0;
    for (int p = 0; p <= places; p++) {
      int at = from + (int) ((long) p * count / places) - window / 2;
      double re = 0;
      double im = 0;
      int last = Math.min(x.length, at + window);
      for (int i = Math.max(0, at); i < last; i++) {
        re += x[i] * cos[i - at];
        im -= x[i] * sin[i - at];
      }
      // Turned on by where the window begins.
      double phase = Math.atan2(im, re) / (2 * Math.PI) - cycles * (at - from);
      turns += p == 0 ? 0 : phase - before - Math.rint(phase - before);
      before = phase;
      power += re * re + im * im;
    }
    return new double[] {turns, power / places};
  }
}
