package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.SplittableRandom;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The cross-correlation by transforms against its definition. */
class CrossSpectrumTest {
  /** Sizes of the library's transform, of one for both signals and of two. */
  @ParameterizedTest
  @ValueSource(ints = {64, 1024, 2048, 4096, 32768})
  void crossSpectrumIsThatOfTheSumOfProducts(int size) {
    SplittableRandom random = new SplittableRandom(3);
    float[] a = new float[size];
    float[] b = new float[size];
    double power = 0;
    for (int i = 0; i < size; i++) {
      a[i] = (float) (random.nextDouble() - 0.5);
      b[i] = (float) (random.nextDouble() - 0.3);
      power += a[i] * a[i] + b[i] * b[i];
    }
    float[] product = a.clone();
    float[] spectrum = b.clone();
    Fft fft = Fft.of(size);
    fft.crossSpectrum(product, spectrum);
    fft.inverse(product);
    fft.inverse(spectrum);
    for (int lag = 0; lag < size; lag += Math.max(1, size / 50 - 1)) {
      double sum = 0;
      for (int i = 0; i < size; i++) {
        sum += (double) a[i] * b[(i + lag) % size];
      }
      assertEquals(sum, product[lag], 1e-6 * power, "lag " + lag);
      assertEquals(b[lag], spectrum[lag], 1e-6, "sample " + lag);
    }
  }
}
