package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotSame;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.Random;
import java.util.concurrent.CompletableFuture;
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
  @ValueSource(ints = {2, 16, 4096, 65536})
  void inverseUndoesForward(int n) {
    float[] x = noise(n);
    float[] y = x.clone();
    Fft.of(n).forward(y);
    Fft.of(n).inverse(y);
    for (int i = 0; i < n; i++) {
      assertEquals(x[i], y[i], 2e-6);
    }
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
