package takewright.retune;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import takewright.audio.Clip;

/**
 * What is drift and what is playing: a slow bend goes, exactly where it was, and a wander of about
 * once a second, as a player's hand makes it, stays for the most part. Pitch is read here by the
 * zero crossings of a sine, which nothing else is in.
 */
class WanderTest {
  private static final int RATE = 44_100;
  private static final double HZ = 330;

  private interface Course {
    double cents(double seconds);
  }

  private static float[] sine(double lengthS, Course course) {
    float[] x = new float[(int) (lengthS * RATE)];
    double phase = 0;
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      phase += HZ / RATE * Math.pow(2, course.cents(t) / 1200);
      double loud = 0.3 * Math.min(1, Math.min(t / 0.05, (lengthS - t) / 0.1));
      x[i] = (float) (loud * Math.sin(2 * Math.PI * phase));
    }
    return x;
  }

  private static float[] level(float[] x) {
    Drift drift = Drift.of(x, RATE, HZ);
    return Retune.apply(Clip.of(RATE, x), new RetuneSettings(0, 0, drift)).channel(0);
  }

  /** Cents between two times, by the crossings from below. */
  private static double cents(float[] x, double fromS, double toS) {
    double first = Double.NaN;
    double last = Double.NaN;
    int crossings = -1;
    for (int i = (int) (fromS * RATE); i < toS * RATE; i++) {
      if (x[i] < 0 && x[i + 1] >= 0) {
        last = i + x[i] / (x[i] - x[i + 1]);
        first = crossings < 0 ? last : first;
        crossings++;
      }
    }
    return 1200 * Math.log(crossings * RATE / (last - first) / HZ) / Math.log(2);
  }

  /** Greatest less smallest pitch of pieces of 50 ms. */
  private static double range(float[] x, double fromS, double toS) {
    double low = Double.MAX_VALUE;
    double high = -Double.MAX_VALUE;
    for (double t = fromS; t + 0.05 <= toS; t += 0.025) {
      double cents = cents(x, t, t + 0.05);
      low = Math.min(low, cents);
      high = Math.max(high, cents);
    }
    return high - low;
  }

  /**
   * A Gaussian of 0.25 s passes exp(-2 (pi 0.25 f)^2) of a swing (its Fourier transform): 0.29 of
   * one each second is taken for drift, the rest is playing.
   */
  @Test
  void aWanderOfOnceASecondMostlyStays() {
    float[] x = sine(6, t -> 15 * Math.sin(2 * Math.PI * t));
    double stays = range(level(x), 1, 5) / range(x, 1, 5);
    assertTrue(stays > 0.5, "of the wander " + stays + " stays");
  }

  /** A steady bend leaves nothing behind where it is taken away at the right time. */
  @Test
  void aBendIsTakenAwayWhereItWas() {
    float[] x = sine(4, t -> 30 * (t - 2));
    float[] y = level(x);
    double first = cents(y, 1, 1.5);
    double second = cents(y, 2.5, 3);
    assertEquals(0, first, 0.1);
    assertEquals(0, second, 0.1);
  }
}
