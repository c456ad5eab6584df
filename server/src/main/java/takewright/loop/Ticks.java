package takewright.loop;

import takewright.dsp.Biquad;
import takewright.dsp.Decibels;
import takewright.dsp.Selection;
import takewright.dsp.SumOfSquares;

/**
 * Where a note has more hiss than elsewhere for a moment: a bow that catches, a key that clicks. At
 * a loop's ends it would come back each time round.
 */
final class Ticks {
  /** Partials are mostly below, in hertz. */
  private static final double FROM_HZ = 6000;

  /** Length of a window in seconds: that of a click. */
  private static final double WINDOW_S = 0.003;

  /** The level that a note has now and then by itself. */
  private static final double USUAL_QUANTILE = 0.95;

  /** A Butterworth filter of the fourth order, as two of the second. */
  private static final double[] BUTTERWORTH_Q = {0.5412, 1.3066};

  /** And this many windows to either side belong to a moment. */
  private static final int AROUND = 2;

  private final int window;

  /** By window: level above the usual, in dB. */
  private final double[] excess;

  Ticks(float[] x, int sampleRate) {
    window = Math.max(1, (int) (WINDOW_S * sampleRate));
    excess = new double[x.length / window];
    if (FROM_HZ > 0.4 * sampleRate) {
      return;
    }
    float[] high = x.clone();
    Biquad.highPass(sampleRate, FROM_HZ, BUTTERWORTH_Q[0])
        .process(Biquad.highPass(sampleRate, FROM_HZ, BUTTERWORTH_Q[1]), high, 0, high.length);
    float[] levels = new float[excess.length];
    for (int w = 0; w < excess.length; w++) {
      double sum = SumOfSquares.of(high, w * window, (w + 1) * window);
      excess[w] = Decibels.fromPower(sum / window + 1e-20);
      levels[w] = (float) excess[w];
    }
    double usual =
        Selection.find(levels, levels.length, (int) (USUAL_QUANTILE * (levels.length - 1)));
    for (int w = 0; w < excess.length; w++) {
      excess[w] -= usual;
    }
  }

  /** The most that the level around a frame lies above the usual, in dB. */
  double excessDb(int frame) {
    int at = frame / window;
    double max = -Double.MAX_VALUE;
    for (int w = Math.max(0, at - AROUND); w <= Math.min(excess.length - 1, at + AROUND); w++) {
      max = Math.max(max, excess[w]);
    }
    return max;
  }
}
