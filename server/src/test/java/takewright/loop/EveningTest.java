package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.dsp.Biquad;

/** Made tones whose swings are known, so that what is left of them can be said. */
class EveningTest {
  private static final int RATE = 48000;
  private static final int PERIOD = 160;

  /** Two seconds, from the second second on. */
  private static final Loop LOOP = new Loop(300 * PERIOD, 900 * PERIOD - 1, 36 * PERIOD);

  private static final double LOOP_S = (double) LOOP.length() / RATE;

  /** Partials 1 to 20; each swings in dB by its own measure. */
  private static float[] tone(DoubleUnaryOperator levelDb, DoubleUnaryOperator upperDb) {
    float[] x = new float[1200 * PERIOD];
    for (int i = 0; i < x.length; i++) {
      double t = (double) (i - LOOP.start()) / RATE;
      double level = 0.1 * Math.pow(10, levelDb.applyAsDouble(t) / 20);
      double upper = Math.pow(10, upperDb.applyAsDouble(t) / 20);
      for (int k = 1; k <= 20; k++) {
        x[i] += (float) (level * (k > 5 ? upper : 1) / k * Math.sin(2 * Math.PI * k * i / PERIOD));
      }
    }
    return x;
  }

  private static float[] evened(float[] x) {
    return CrossFade.apply(Clip.of(RATE, x), LOOP).channel(0);
  }

  /** Amplitude in dB of the swing of the level that comes round so many times a loop. */
  private static double swingDb(float[] x, double times) {
    int points = LOOP.length() / PERIOD;
    double re = 0;
    double im = 0;
    for (int p = 0; p < points; p++) {
      double sum = 0;
      for (int i = 0; i < PERIOD; i++) {
        sum += (double) x[LOOP.start() + p * PERIOD + i] * x[LOOP.start() + p * PERIOD + i];
      }
      double db = 10 * Math.log10(sum / PERIOD + 1e-20);
      re += db * Math.cos(2 * Math.PI * times * p / points);
      im += db * Math.sin(2 * Math.PI * times * p / points);
    }
    return 2 * Math.hypot(re, im) / points;
  }

  private static float[] high(float[] x) {
    float[] high = x.clone();
    for (int i = 0; i < 2; i++) {
      Biquad.highPass(RATE, 2500, 0.707).process(high, 0, high.length);
    }
    return high;
  }

  @Test
  void aSwingOfTheLevelThatComesRoundIsTakenOut() {
    float[] x = tone(t -> Math.sin(2 * Math.PI * t / LOOP_S), t -> 0);
    assertEquals(1, swingDb(x, 1), 0.01);
    assertEquals(0, swingDb(evened(x), 1), 0.03);
    float[] twice = tone(t -> 0.7 * Math.cos(4 * Math.PI * t / LOOP_S), t -> 0);
    assertEquals(0.7, swingDb(twice, 2), 0.01);
    assertEquals(0, swingDb(evened(twice), 2), 0.03);
  }

  /**
   * A brightness that comes and goes: the upper partials swing less, the level does not begin to.
   */
  @Test
  void aSwingOfTheBrightnessIsTakenOut() {
    float[] x = tone(t -> 0, t -> Math.sin(2 * Math.PI * t / LOOP_S));
    float[] y = evened(x);
    assertTrue(swingDb(high(x), 1) > 0.9);
    assertTrue(swingDb(high(y), 1) < 0.35, "left: " + swingDb(high(y), 1));
    assertTrue(swingDb(y, 1) < 0.03, "level: " + swingDb(y, 1));
  }

  /** A vibrato of 5 Hz moves the level as well; that is the note's life. */
  @Test
  void aVibratoStays() {
    float[] x = tone(t -> Math.sin(2 * Math.PI * 10 * t / LOOP_S), t -> 0);
    assertEquals(swingDb(x, 10), swingDb(evened(x), 10), 0.02);
  }

  @Test
  void nothingBeyondTheFadesIsTouched() {
    float[] x = tone(t -> Math.sin(2 * Math.PI * t / LOOP_S), t -> 0);
    float[] y = evened(x);
    for (int i = 0; i < LOOP.start() - LOOP.fade(); i++) {
      assertEquals(x[i], y[i]);
    }
    // The loop's swing is at its middle at both ends, so what follows keeps its level.
    for (int i = LOOP.end() + 1 + LOOP.fade(); i < x.length; i++) {
      assertEquals(x[i], y[i], 0.01 * 0.1);
    }
  }
}
