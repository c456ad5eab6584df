package takewright.denoise.hum;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;
import takewright.denoise.band.StftSize;
import takewright.dsp.Fft;

/** A tone of a machine 9 Hz beside the partial of a held note, heard for two seconds. */
class ToneTrackerTest {
  private static final int RATE = 48000;
  private static final int SIZE = StftSize.size(RATE);
  private static final int HOP = StftSize.hop(SIZE);
  private static final double TONE_HZ = 331.7;
  private static final double TONE = 1e-3;
  private static final double PARTIAL = 0.02;
  private static final int FRAMES = 36;
  private static final int AGO = 9;

  private static double sine(double amplitude, double hz, int i) {
    return amplitude * Math.cos(2 * Math.PI * hz * i / RATE);
  }

  private static float[] spectrum(int frame, double tone, double partial) {
    float[] window = StftSize.window(SIZE);
    float[] x = new float[SIZE];
    for (int i = 0; i < window.length; i++) {
      int at = frame * HOP + i;
      x[i] = (float) (window[i] * (sine(tone, TONE_HZ, at) + sine(partial, TONE_HZ + 9, at)));
    }
    Fft.of(SIZE).forward(x);
    return x;
  }

  /** How much nearer the partial alone a frame comes, in dB. */
  private static double gain(boolean inDoubt, int framesWithPartial) {
    ToneTracker tracker = new ToneTracker(new double[] {TONE_HZ}, RATE, SIZE, HOP, 1);
    int bins = SIZE / 2 + 1;
    float[] inverse = new float[bins];
    float[] ratios = new float[bins];
    float[] gains = new float[bins];
    Arrays.fill(inverse, (float) (16 / (TONE * TONE * SIZE * SIZE)));
    Arrays.fill(ratios, 1e6f);
    Arrays.fill(gains, 1);
    float[] frame = null;
    float[] clean = null;
    for (int i = 0; i < FRAMES; i++) {
      double partial = i >= FRAMES - framesWithPartial ? PARTIAL : 0;
      float[] x = spectrum(i, TONE, partial);
      tracker.add(new float[][] {x}, inverse, inDoubt);
      if (i == FRAMES - 1 - AGO) {
        frame = x;
        clean = spectrum(i, 0, partial);
      }
    }
    double before = difference(frame, clean);
    tracker.subtract(AGO, new float[][] {frame}, ratios, gains, 0.06f);
    return 10 * Math.log10(before / difference(frame, clean));
  }

  private static double difference(float[] a, float[] b) {
    double sum = 0;
    for (int i = 0; i < a.length; i++) {
      sum += Math.pow(a[i] - b[i], 2);
    }
    return sum;
  }

  @Test
  void hearsAToneThroughTheNote() {
    double gain = gain(false, FRAMES);
    assertTrue(gain > 20, gain + " dB");
  }

  /** The machine may have been switched off meanwhile. */
  @Test
  void takesNothingThatMayBeGone() {
    assertEquals(0, gain(true, FRAMES), 0);
  }

  /**
   * Four frames into the note the tone is foretold by what was heard before it, and less surely.
   */
  @Test
  void goesOnWithTheToneAsItWasHeard() {
    double heard = gain(true, 0);
    assertTrue(heard > 20, heard + " dB");
    assertEquals(11, gain(true, AGO + 4), 2);
  }
}
