package takewright.report;

import java.util.Arrays;
import takewright.dsp.Decibels;

/**
 * The deviation of a note from its pitch over time: its strongest low partial is shifted to zero
 * frequency and averaged over whole periods; the rate of the remaining phase is the deviation (the
 * idea of the phase vocoder: J. L. Flanagan and R. M. Golden, "Phase vocoder", Bell System
 * Technical Journal 45, 1966). It is a line to look at; nothing is decided by it.
 */
final class PitchLine {
  /** A point every 20 ms: eight per cycle of a usual vibrato. */
  static final double POINT_S = 0.02;

  /** The value for "unknown". */
  static final short NONE = Short.MIN_VALUE;

  /** No value where the partial is this far below its maximum, in dB. */
  private static final double FLOOR_DB = 40;

  /** Beyond this, in cents, the phase may have wrapped. */
  private static final double WIDEST_CENTS = 100;

  /**
   * Partials times periods per step, at most: with more a semitone would turn the phase too far.
   */
  private static final int MAX_PARTIAL_PERIODS = 4;

  /** A step's length, in seconds, where the periods are shorter than that. */
  private static final double STEP_S = 0.005;

  /** Steps by which the partials are compared. */
  private static final int SOUNDED = 64;

  private PitchLine() {}

  /**
   * Cents off, a point every {@link #POINT_S}; {@link #NONE} where there is no saying.
   *
   * @param hz where the note should be
   */
  static short[] of(float[] x, int sampleRate, double hz) {
    short[] cents = new short[(int) (x.length / (POINT_S * sampleRate))];
    Arrays.fill(cents, NONE);
    int periods = (int) Math.max(1, Math.min(MAX_PARTIAL_PERIODS, Math.round(STEP_S * hz)));
    // An average over whole periods suppresses all other partials.
    double step = periods * sampleRate / hz;
    int steps = (int) (x.length / step);
    if (steps < 4 || hz > 0.4 * sampleRate) {
      return cents;
    }
    int strongest = 1;
    double power = 0;
    // Some of the steps are enough to find the strongest partial.
    int each = Math.max(1, steps / SOUNDED);
    for (int partial = 1;
        partial * periods <= MAX_PARTIAL_PERIODS && 2 * periods <= MAX_PARTIAL_PERIODS;
        partial++) {
      double here = Moved.of(x, sampleRate, partial * hz, step, steps, each).power;
      if (here > power) {
        power = here;
        strongest = partial;
      }
    }
    Moved best = Moved.of(x, sampleRate, strongest * hz, step, steps, 1);
    double min = best.max * Decibels.toPower(-FLOOR_DB);
    double perPoint = POINT_S * sampleRate / step;
    for (int i = 0; i < cents.length; i++) {
      int from = (int) Math.max(1, Math.round((i - 0.5) * perPoint));
      int to = (int) Math.min(steps - 1, Math.max(from + 1, Math.round((i + 1.5) * perPoint)));
      cents[i] = best.cents(from, to, min, 2 * step / sampleRate);
    }
    return cents;
  }

  /** A partial shifted to zero frequency, one value per step. */
  private static final class Moved {
    private final double hz;
    private final double[] re;
    private final double[] im;
    private double power;
    private double max;

    private Moved(double hz, int steps) {
      this.hz = hz;
      re = new double[steps];
      im = new double[steps];
    }

    /** Computes one step in {@code each}; the others stay zero. */
    static Moved of(float[] x, int sampleRate, double hz, double step, int steps, int each) {
      Moved moved = new Moved(hz, steps);
      double turn = -2 * Math.PI * hz / sampleRate;
      // The same wave for each step, rotated afterwards to the step's start.
      int maxPeriod = (int) step + 1;
      float[] cos = new float[maxPeriod];
      float[] sin = new float[maxPeriod];
      for (int i = 0; i < maxPeriod; i++) {
        cos[i] = (float) Math.cos(turn * i);
        sin[i] = (float) Math.sin(turn * i);
      }
      for (int s = 0; s < steps; s += each) {
        int from = (int) (s * step);
        int length = (int) ((s + 1) * step) - from;
        float sumRe = 0;
        float sumIm = 0;
        float oddRe = 0;
        float oddIm = 0;
        int i = 0;
        // Two sums each; with one, every addition would wait for the one before.
        for (; i + 1 < length; i += 2) {
          float even = x[from + i];
          float odd = x[from + i + 1];
          sumRe += even * cos[i];
          sumIm += even * sin[i];
          oddRe += odd * cos[i + 1];
          oddIm += odd * sin[i + 1];
        }
        if (i < length) {
          sumRe += x[from + i] * cos[i];
          sumIm += x[from + i] * sin[i];
        }
        double re = sumRe + oddRe;
        double im = sumIm + oddIm;
        double beginRe = Math.cos(turn * from);
        double beginIm = Math.sin(turn * from);
        moved.re[s] = re * beginRe - im * beginIm;
        moved.im[s] = re * beginIm + im * beginRe;
        double square = re * re + im * im;
        moved.power += square;
        moved.max = Math.max(moved.max, square);
      }
      return moved;
    }

    /** The mean over some steps, weighted by power. */
    short cents(int from, int to, double min, double seconds) {
      double re = 0;
      double im = 0;
      for (int s = from; s < to; s++) {
        if (this.re[s] * this.re[s] + this.im[s] * this.im[s] >= min) {
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
