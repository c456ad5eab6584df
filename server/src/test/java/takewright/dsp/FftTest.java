package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotSame;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import java.util.concurrent.CompletableFuture;
import org.jtransforms.fft.DoubleFFT_1D;
import org.jtransforms.fft.FloatFFT_1D;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class FftTest {
  @ParameterizedTest
  @ValueSource(ints = {2, 4, 8, 64, 512})
  void isTheSumThatDefinesIt(int n) {
    float[] x = noise(n);
    float[] packed = x.clone();
    float[] power = new float[n / 2 + 1];
    Fft fft = Fft.of(n);
    fft.forward(packed);
    fft.power(packed, power);
    for (int k = 0; k <= n / 2; k++) {
      double re = 0;
      double im = 0;
      for (int i = 0; i < n; i++) {
        re += x[i] * Math.cos(2 * Math.PI * k * i / n);
        im -= x[i] * Math.sin(2 * Math.PI * k * i / n);
      }
      assertEquals(re, packed[k == n / 2 ? 1 : 2 * k], 1e-4);
      if (k > 0 && k < n / 2) {
        assertEquals(im, packed[2 * k + 1], 1e-4);
      }
      assertEquals(re * re + im * im, power[k], 1e-4 * (1 + power[k]));
    }
  }

  @ParameterizedTest
  @ValueSource(ints = {2, 16, 1024, 2048, 4096, 8192, 16384, 32768, 65536})
  void inverseUndoesForward(int n) {
    float[] x = noise(n);
    float[] y = x.clone();
    Fft.of(n).forward(y);
    Fft.of(n).inverse(y);
    for (int i = 0; i < n; i++) {
      assertEquals(x[i], y[i], 2e-6);
    }
  }

  /** JTransforms in double precision is the reference, and in single precision what to match. */
  @ParameterizedTest
  @ValueSource(ints = {512, 1024, 2048, 4096, 8192, 16384, 32768, 65536})
  void isAsExactAsTheReferenceLibrary(int n) {
    float[] x = noise(n);
    double[] exact = widened(x);
    new DoubleFFT_1D(n).realForward(exact);
    float[] single = x.clone();
    new FloatFFT_1D(n).realForward(single);
    float[] ours = x.clone();
    Fft.of(n).forward(ours);
    assertTrue(error(ours, exact) <= 1.05 * error(single, exact));
    float[] power = new float[n / 2 + 1];
    Fft.of(n).powerOf(x.clone(), power);
    for (int k = 0; k <= n / 2; k++) {
      double re = exact[k == n / 2 ? 1 : 2 * k];
      double im = k == 0 || k == n / 2 ? 0 : exact[2 * k + 1];
      assertEquals(re * re + im * im, power[k], 1e-5 * n);
    }
    // Spectra need not come from samples: any numbers have an inverse.
    double[] exactBack = widened(x);
    new DoubleFFT_1D(n).realInverse(exactBack, true);
    float[] singleBack = x.clone();
    new FloatFFT_1D(n).realInverse(singleBack, true);
    float[] oursBack = x.clone();
    Fft.of(n).inverse(oursBack);
    assertTrue(error(oursBack, exactBack) <= 1.05 * error(singleBack, exactBack));
  }

  /** Every sample alone has a spectrum known in closed form; so has the sum of a few. */
  @ParameterizedTest
  @ValueSource(ints = {2048, 4096, 8192, 16384, 32768})
  void impulsesTurnByTheirPlace(int n) {
    for (int at : new int[] {0, 1, 2, 31, n / 2 - 1, n / 2, n - 1}) {
      float[] x = new float[n];
      x[at] = 1;
      Fft.of(n).forward(x);
      for (int k = 1; k < n / 2; k++) {
        double turn = -2 * Math.PI * ((long) k * at % n) / n;
        assertEquals(Math.cos(turn), x[2 * k], 1e-6);
        assertEquals(Math.sin(turn), x[2 * k + 1], 1e-6);
      }
      assertEquals(1, x[0], 1e-6);
      assertEquals(at % 2 == 0 ? 1 : -1, x[1], 1e-6);
    }
  }

  /** Parseval's theorem. */
  @ParameterizedTest
  @ValueSource(ints = {1024, 2048, 4096, 8192, 16384, 32768})
  void keepsTheEnergy(int n) {
    float[] x = noise(n);
    double before = 0;
    for (float sample : x) {
      before += (double) sample * sample;
    }
    Fft fft = Fft.of(n);
    float[] power = new float[n / 2 + 1];
    fft.forward(x);
    fft.power(x, power);
    double after = power[0] + power[n / 2];
    for (int k = 1; k < n / 2; k++) {
      after += 2 * power[k];
    }
    assertEquals(before, after / n, 1e-6 * before);
  }

  private static double[] widened(float[] x) {
    double[] wide = new double[x.length];
    for (int i = 0; i < x.length; i++) {
      wide[i] = x[i];
    }
    return wide;
  }

  /** RMS of the difference. */
  private static double error(float[] x, double[] exact) {
    double sum = 0;
    for (int i = 0; i < x.length; i++) {
      sum += (x[i] - exact[i]) * (x[i] - exact[i]);
    }
    return Math.sqrt(sum / x.length);
  }

  @Test
  void aPlanIsMadeOncePerSizeAndThread() {
    Fft here = Fft.of(256);
    assertSame(here, Fft.of(256));
    assertNotSame(
        here,
        CompletableFuture.supplyAsync(() -> Fft.of(256), task -> new Thread(task).start()).join());
  }

  @ParameterizedTest
  @ValueSource(ints = {-8, 0, 1, 3, 1000})
  void otherSizesAreRefused(int n) {
    assertThrows(IllegalArgumentException.class, () -> Fft.of(n));
  }

  private static float[] noise(int n) {
    Random random = new Random(n);
    float[] x = new float[n];
    for (int i = 0; i < n; i++) {
      x[i] = random.nextFloat() * 2 - 1;
    }
    return x;
  }
}
