package takewright.audio.write;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.SampleFormat;

/**
 * The error of dithered quantisation by Lipshitz, Wannamaker and Vanderkooy (J. Audio Eng. Soc.
 * 40(5), 1992): with triangular dither two steps wide its mean is 0 and its variance a quarter of a
 * step squared whatever the input, and it is white.
 */
class QuantiserTest {
  private static final int COUNT = 1 << 18;

  /** How far an average of COUNT errors may be from its mean: five standard deviations. */
  private static final double FIVE_SIGMA = 5 * 0.5 / Math.sqrt(COUNT);

  /** Output minus input, in steps. */
  private static double[] errors(float[] input, int bits, int channel) {
    int bytes = bits / 8;
    byte[] out = new byte[input.length * bytes];
    assertEquals(-1, new Quantiser(bits, channel).encode(input, 0, input.length, out, 0, bytes));
    double scale = Math.scalb(1.0, bits - 1);
    float[] back = new float[input.length];
    new SampleFormat(SampleFormat.Encoding.SIGNED, bytes, false)
        .decode(out, 0, bytes, back, 0, back.length);
    double[] errors = new double[input.length];
    for (int i = 0; i < errors.length; i++) {
      errors[i] = (back[i] - (double) input[i]) * scale;
    }
    return errors;
  }

  private static double mean(double[] values) {
    double sum = 0;
    for (double value : values) {
      sum += value;
    }
    return sum / values.length;
  }

  private static double product(double[] a, int lag, double[] b) {
    double sum = 0;
    for (int i = lag; i < a.length; i++) {
      sum += a[i] * b[i - lag];
    }
    return sum / a.length;
  }

  /** A sine at a frequency that no block length meets. */
  private static float[] sine(double amplitude) {
    float[] sine = new float[COUNT];
    for (int i = 0; i < COUNT; i++) {
      sine[i] = (float) (amplitude * Math.sin(i * 0.0612345678));
    }
    return sine;
  }

  @ParameterizedTest
  @ValueSource(doubles = {0.02, 0.25, 0.5, 0.77, -0.5, 1.5, 1000.31})
  void meanAndPowerOfTheErrorDoNotDependOnTheLevel(double steps) {
    float[] constant = new float[COUNT];
    Arrays.fill(constant, (float) (steps * 0x1p-15));
    double[] errors = errors(constant, 16, 0);
    assertEquals(0, mean(errors), FIVE_SIGMA);
    assertEquals(0.25, product(errors, 0, errors), 0.01 * 0.25);
  }

  /** A sine of one step and a half: without dither it would come out as distortion. */
  @ParameterizedTest
  @ValueSource(doubles = {0.4, 1.5, 30, 10_000})
  void theErrorIsWhiteAndFreeOfTheSignal(double steps) {
    float[] sine = sine(steps * 0x1p-15);
    double[] errors = errors(sine, 16, 0);
    assertEquals(0, mean(errors), FIVE_SIGMA);
    assertEquals(0.25, product(errors, 0, errors), 0.02 * 0.25);
    for (int lag = 1; lag <= 64; lag++) {
      assertEquals(0, product(errors, lag, errors), FIVE_SIGMA * 0.5, "lag " + lag);
    }
    for (int harmonic = 1; harmonic <= 20; harmonic++) {
      double[] cosine = new double[COUNT];
      double[] sines = new double[COUNT];
      for (int i = 0; i < COUNT; i++) {
        cosine[i] = Math.cos(harmonic * i * 0.0612345678);
        sines[i] = Math.sin(harmonic * i * 0.0612345678);
      }
      assertEquals(0, product(errors, 0, cosine), FIVE_SIGMA, "harmonic " + harmonic);
      assertEquals(0, product(errors, 0, sines), FIVE_SIGMA, "harmonic " + harmonic);
    }
  }

  @Test
  void channelsAndFilesGetNoiseOfTheirOwn() {
    float[] sine = sine(0.1);
    float[] other = sine(0.11);
    double[] errors = errors(sine, 16, 0);
    assertEquals(0, product(errors, 0, errors(sine, 16, 1)), FIVE_SIGMA * 0.5);
    assertEquals(0, product(errors, 0, errors(other, 16, 0)), FIVE_SIGMA * 0.5);
  }

  /**
   * At 24 bits many loud floats fall on a step and stay there, which lowers the noise (measured:
   * 0.21 steps squared for a sine of 0.3, 0.15 for one of 0.95); no more.
   */
  @ParameterizedTest
  @ValueSource(doubles = {0.0001, 0.01, 0.3, 0.95})
  void twentyFourBitsAreFreeOfTheSignalToo(double amplitude) {
    float[] sine = sine(amplitude);
    double[] errors = errors(sine, 24, 0);
    assertEquals(0, mean(errors), FIVE_SIGMA);
    double power = product(errors, 0, errors);
    assertTrue(power > 0.1 && power < 0.255, "power " + power);
    double[] signal = new double[COUNT];
    for (int i = 0; i < COUNT; i++) {
      signal[i] = sine[i] / amplitude;
    }
    assertEquals(0, product(errors, 0, signal), FIVE_SIGMA);
  }
}
