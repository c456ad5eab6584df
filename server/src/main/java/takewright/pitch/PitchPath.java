package takewright.pitch;

import java.util.Arrays;

/**
 * The pitch at every moment: of each window's candidates the one that lies on the best path through
 * all windows (Viterbi), as in Mauch and Dixon's probabilistic YIN, but from candidate to candidate
 * rather than over a grid, with the costs per octave and per change of voicing of Boersma (1993).
 */
public final class PitchPath {
  /** Windows a second: a vibrato of 8 Hz has twelve a swing. */
  private static final double WINDOWS_A_SECOND = 100;

  /**
   * Longer samples have windows further apart: their pitch changes no faster for it, but rarely.
   */
  private static final int MAX_WINDOWS = 2000;

  private static final int STATES = 8;

  /** So many frames of a period bend its dip by less than a cent. */
  private static final double FRAMES_A_PERIOD = 80;

  /**
   * Cost, in logarithms of a probability, of moving by an octave between windows 10 ms apart: the
   * steepest vibrato moves by a sixtieth, a fast glide by a twentieth.
   */
  private static final double OCTAVE_COST = 20;

  /** Cost of beginning or ending to have a pitch. */
  private static final double VOICING_COST = 3;

  /** A window without any clear period counts as unvoiced with this probability. */
  private static final double MIN_UNVOICED = 0.02;

  /** Time between windows in seconds. */
  public final double stepS;

  /** Pitch in hertz by window, NaN for none, and RMS. */
  public final double[] hz;

  public final double[] level;

  /** Seconds over which each pitch is a mean. */
  public final double integrationS;

  private PitchPath(double stepS, double[] hz, double[] level, double integrationS) {
    this.stepS = stepS;
    this.hz = hz;
    this.level = level;
    this.integrationS = integrationS;
  }

  /** The path of a sample for pitches of a range, most of it at about {@code aboutHz}. */
  public static PitchPath of(
      float[] audio, int sampleRate, double lowestHz, double highestHz, double aboutHz) {
    DenseWindows windows =
        new DenseWindows(sampleRate, lowestHz, highestHz, FRAMES_A_PERIOD * aboutHz);
    PitchDetector detector = windows.detector();
    float[] mono = audio.length < windows.window() ? Arrays.copyOf(audio, windows.window()) : audio;
    int room = mono.length - windows.window();
    double step = Math.max(sampleRate / WINDOWS_A_SECOND, (double) room / MAX_WINDOWS);
    int n = (int) (room / step) + 1;
    double[] hz = new double[n * STATES];
    double[] cost = new double[n * STATES];
    double[] level = new double[n];
    double[] probabilities = new double[64];
    for (int w = 0; w < n; w++) {
      int count = windows.find(mono, (int) (w * step));
      level[w] = detector.rms();
      detector.probabilities(probabilities);
      fill(w * STATES, detector, count, probabilities, hz, cost);
    }
    int[] path = best(n, hz, cost);
    double[] found = new double[n];
    for (int w = 0; w < n; w++) {
      found[w] = path[w] == 0 ? Double.NaN : hz[w * STATES + path[w]];
    }
    return new PitchPath(step / sampleRate, found, level, windows.integrationS());
  }

  /** State 0 is no pitch; the others are the likeliest candidates. */
  private static void fill(
      int base, PitchDetector detector, int count, double[] p, double[] hz, double[] cost) {
    Arrays.fill(cost, base, base + STATES, Double.POSITIVE_INFINITY);
    // As in probabilistic YIN: how many of the thresholds the deepest dip lies under.
    double voiced = 1 - PitchDetector.betaCdf(detector.deepest());
    cost[base] = -Math.log(Math.max(MIN_UNVOICED, 1 - voiced));
    for (int c = 0; c < count; c++) {
      double own = -Math.log(voiced * p[c] + 1e-4);
      int worst = base + 1;
      for (int s = base + 2; s < base + STATES; s++) {
        worst = cost[s] > cost[worst] ? s : worst;
      }
      if (own < cost[worst]) {
        cost[worst] = own;
        hz[worst] = detector.frequency(c);
      }
    }
  }

  private static int[] best(int n, double[] hz, double[] cost) {
    double[] total = Arrays.copyOf(cost, n * STATES);
    int[] from = new int[n * STATES];
    for (int w = 1; w < n; w++) {
      for (int s = 0; s < STATES; s++) {
        int here = w * STATES + s;
        if (cost[here] == Double.POSITIVE_INFINITY) {
          continue;
        }
        double min = Double.POSITIVE_INFINITY;
        for (int t = 0; t < STATES; t++) {
          int there = (w - 1) * STATES + t;
          if (total[there] == Double.POSITIVE_INFINITY) {
            continue;
          }
          double move;
          if (s == 0 || t == 0) {
            move = s == t ? 0 : VOICING_COST;
          } else {
            move = OCTAVE_COST * Math.abs(Math.log(hz[here] / hz[there])) / Math.log(2);
          }
          if (total[there] + move < min) {
            min = total[there] + move;
            from[here] = t;
          }
        }
        total[here] += min;
      }
    }
    int[] path = new int[n];
    int last = (n - 1) * STATES;
    for (int s = 1; s < STATES; s++) {
      path[n - 1] = total[last + s] < total[last + path[n - 1]] ? s : path[n - 1];
    }
    for (int w = n - 1; w > 0; w--) {
      path[w - 1] = from[w * STATES + path[w]];
    }
    return path;
  }
}
