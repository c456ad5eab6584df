package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;

/**
 * Compared with the analogue prototypes H(s) that the W3C Audio EQ Cookbook gives for each filter,
 * at s = j tan(ω/2) / tan(ω0/2), which is where the bilinear transform puts the digital frequency.
 */
class BiquadTest {
  private static final double RATE = 48_000;
  private static final double HZ = 1000;
  private static final double Q = 1.7;
  private static final double GAIN_DB = 9;

  /** The square root of the gain of {@link #GAIN_DB}. */
  private static final double A = Math.pow(10, GAIN_DB / 40);

  @Test
  void lowPass() {
    check(Biquad.lowPass(RATE, HZ, Q), 0, 0, 1, 1, 1 / Q, 1);
  }

  @Test
  void highPass() {
    check(Biquad.highPass(RATE, HZ, Q), 1, 0, 0, 1, 1 / Q, 1);
  }

  @Test
  void bandPass() {
    check(Biquad.bandPass(RATE, HZ, Q), 0, 1 / Q, 0, 1, 1 / Q, 1);
  }

  @Test
  void notch() {
    check(Biquad.notch(RATE, HZ, Q), 1, 0, 1, 1, 1 / Q, 1);
  }

  @Test
  void allPass() {
    check(Biquad.allPass(RATE, HZ, Q), 1, -1 / Q, 1, 1, 1 / Q, 1);
  }

  @Test
  void peaking() {
    check(Biquad.peaking(RATE, HZ, Q, GAIN_DB), 1, A / Q, 1, 1, 1 / (A * Q), 1);
  }

  @Test
  void lowShelf() {
    double b = Math.sqrt(A) / Q;
    check(Biquad.lowShelf(RATE, HZ, Q, GAIN_DB), A, A * b, A * A, A, b, 1);
  }

  @Test
  void highShelf() {
    double b = Math.sqrt(A) / Q;
    check(Biquad.highShelf(RATE, HZ, Q, GAIN_DB), A * A, A * b, A, 1, b, A);
  }

  /** The impulse responses that SciPy 1.10.1 gives for butter(2, hz, fs=48000). */
  @Test
  void isButterworthWhereQIsOneOverRootTwo() {
    double q = Math.sqrt(0.5);
    assertArrayEquals(
        new double[] {
          0.003916126660547369,
          0.014941358933061023,
          0.02778546621966322,
          0.03802374554484482,
          0.04593618967471594,
          0.05179190722375631
        },
        impulse(Biquad.lowPass(RATE, 1000, q), 6),
        1e-12);
    assertArrayEquals(
        new double[] {
          0.992622542756119,
          -0.014700086815558011,
          -0.014590440358085592,
          -0.014480817511152305,
          -0.014371229860692157,
          -0.01426168881848897
        },
        impulse(Biquad.highPass(RATE, 80, q), 6),
        1e-12);
  }

  @Test
  void blocksGiveTheSameAsSamples() {
    float[] whole = new float[1000];
    whole[0] = 1;
    whole[500] = -0.5f;
    float[] parts = whole.clone();
    Biquad one = Biquad.peaking(RATE, HZ, Q, GAIN_DB);
    Biquad other = one.fresh();
    one.process(whole, 0, 1000);
    other.process(parts, 0, 333);
    other.process(parts, 333, 667);
    assertArrayEquals(whole, parts);
    one.reset();
    assertEquals(0, one.process(0));
  }

  @Test
  void refusesWhatCannotBe() {
    assertThrows(IllegalArgumentException.class, () -> Biquad.lowPass(RATE, 24_000, 1));
    assertThrows(IllegalArgumentException.class, () -> Biquad.lowPass(RATE, 0, 1));
    assertThrows(IllegalArgumentException.class, () -> Biquad.lowPass(RATE, Double.NaN, 1));
    assertThrows(IllegalArgumentException.class, () -> Biquad.lowPass(RATE, 1000, 0));
    assertThrows(IllegalArgumentException.class, () -> Biquad.of(1, 0, 0, 1, 0, 1.01));
    assertThrows(IllegalArgumentException.class, () -> Biquad.of(1, 0, 0, 1, -2.1, 1));
  }

  /** The transform of the impulse response against (n2 s² + n1 s + n0) / (d2 s² + d1 s + d0). */
  private static void check(
      Biquad filter, double n2, double n1, double n0, double d2, double d1, double d0) {
    double[] impulse = impulse(filter, 8192);
    for (double hz : new double[] {20, 100, 500, 900, 1000, 1100, 2000, 8000, 16_000, 23_000}) {
      double w = 2 * Math.PI * hz / RATE;
      double s = Math.tan(w / 2) / Math.tan(Math.PI * HZ / RATE);
      double top = n0 - n2 * s * s;
      double bottom = d0 - d2 * s * s;
      double power = bottom * bottom + d1 * d1 * s * s;
      double real = (top * bottom + n1 * d1 * s * s) / power;
      double imaginary = (n1 * s * bottom - top * d1 * s) / power;
      double x = 0;
      double y = 0;
      for (int i = 0; i < impulse.length; i++) {
        x += impulse[i] * Math.cos(w * i);
        y -= impulse[i] * Math.sin(w * i);
      }
      assertEquals(real, x, 1e-9, "real part at " + hz + " Hz");
      assertEquals(imaginary, y, 1e-9, "imaginary part at " + hz + " Hz");
    }
  }

  private static double[] impulse(Biquad filter, int length) {
    double[] out = new double[length];
    for (int i = 0; i < length; i++) {
      out[i] = filter.process(i == 0 ? 1 : 0);
    }
    return out;
  }
}
