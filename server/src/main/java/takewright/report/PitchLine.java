package takewright.report;

import java.util.Arrays;

/**
 * How far a note strays from where it should be, over time: its strongest low partial is moved down
 * to zero and averaged over whole periods, and how fast the phase of what is left turns says by how
 * much it is off (the idea of the phase vocoder: J. L. Flanagan and R. M. Golden, "Phase vocoder",
 * Bell System Technical Journal 45, 1966). It is a line to look at; nothing is decided by it.
 */
final class PitchLine {
  /** A point every 20 ms: eight to the swing of a usual vibrato. */
  static final double POINT_S = 0.02;

  /** What stands for "not known". */
  static final short NONE = Short.MIN_VALUE;

  /** Nothing is said where the partial is this far below its loudest, in dB. */
  private static final double FLOOR_DB = 40;

  /** Beyond this, in cents, the phase may have turned once more than is seen. */
  private static final double WIDEST_CENTS = 100;

  /** Partials times periods a step, at most: with more a semitone would turn the phase too far. */
  private static final int MOST = 4;

  /** A step's length, in seconds, where the periods are shorter than that. */
  private static final double STEP_S = 0.005;

  private PitchLine() {}

  /**
   * Cents off, a point every {@link #POINT_S}; {@link #NONE} where there is no saying.
   *
   * @param hz where the note should be
   */
  static short[] of(float[] x, int sampleRate, double hz) {
    short[] cents = new short[(int) (x.length / (POINT_S * sampleRate))];
    Arrays.fill(cents, NONE);
    int periods = (int) Math.max(1, Math.min(MOST, Math.round(STEP_S * hz)));
    // Averages over whole periods are deaf to all other partials.
    double step = periods * sampleRate / hz;
    int steps = (int) (x.length / step);
    if (steps < 4 || hz > 0.4 * sampleRate) {
      return cents;
    }
    Moved best = null;
    for (int partial = 1; partial * periods <= MOST; partial++) {
      Moved moved = Moved.of(x, sampleRate, partial * hz, step, steps);
      if (best == null || moved.power > best.power) {
        best = moved;
      }
    }
    double least = best.most * Math.pow(10, -FLOOR_DB / 10);
    double perPoint = POINT_S * sampleRate / step;
    for (int i = 0; i < cents.length; i++) {
      int from = (int) Math.max(1, Math.round((i - 0.5) * perPoint));
      int to = (int) Math.min(steps - 1, Math.max(from + 1, Math.round((i + 1.5) * perPoint)));
      cents[i] = best.cents(from, to, least, 2 * step / sampleRate);
    }
    return cents;
  }

  /** A partial moved down to zero, a value a step. */
  private static final class Moved {
    private final double hz;
    private final double[] re;
    private final double[] im;
    private double power;
    private double most;

    private Moved(double hz, int steps) {
      this.hz = hz;
      re = new double[steps];
      im = new double[steps];
    }

    static Moved of(float[] x, int sampleRate, double hz, double step, int steps) {
      Moved moved = new Moved(hz, steps);
      double turn = -2 * Math.PI * hz / sampleRate;
      double turnRe = Math.cos(turn);
      double turnIm = Math.sin(turn);
      for (int s = 0; s < steps; s++) {
        int from = (int) (s * step);
        int to = (int) ((s + 1) * step);
        double a = Math.cos(turn * from);
        double b = Math.sin(turn * from);
        double sumRe = 0;
        double sumIm = 0;
        for (int i = from; i < to; i++) {
          sumRe += x[i] * a;
          sumIm += x[i] * b;
          double next = a * turnRe - b * turnIm;
          b = a * turnIm + b * turnRe;
          a = next;
        }
        moved.re[s] = sumRe;
        moved.im[s] = sumIm;
        double square = sumRe * sumRe + sumIm * sumIm;
        moved.power += square;
        moved.most = Math.max(moved.most, square);
      }
      return moved;
    }

    /** The mean over some steps, each weighing as its power. */
    short cents(int from, int to, double least, double seconds) {
      double re = 0;
      double im = 0;
      for (int s = from; s < to; s++) {
        if (this.re[s] * this.re[s] + this.im[s] * this.im[s] >= least) {
          re += this.re[s + 1] * this.re[s - 1] + this.im[s + 1] * this.im[s - 1];
          im += this.im[s + 1] * this.re[s - 1] - this.re[s + 1] * this.im[s - 1];
        }
      }
      if (re == 0 && im == 0) {
        return NONE;
      }
      double off =
          1200 * Math.log1p(Math.atan2(im, re) / (2 * Math.PI * seconds * hz)) / Math.log(2);
      return Math.abs(off) <= WIDEST_CENTS ? (short) Math.round(off) : NONE;
    }
  }
}
