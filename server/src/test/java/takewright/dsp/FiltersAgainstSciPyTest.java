package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;

import java.nio.file.Path;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.testing.SciPy;

/** The filters against those that SciPy designs and runs, on the same noise. */
class FiltersAgainstSciPyTest {
  @TempDir Path folder;

  private static float[] noise(int length) {
    SplittableRandom random = new SplittableRandom(17);
    float[] x = new float[length];
    for (int i = 0; i < length; i++) {
      x[i] = (float) (random.nextDouble() - 0.5);
    }
    return x;
  }

  /**
   * SciPy's bilinear transform of the prototypes that the W3C's Audio EQ Cookbook gives in s, with
   * the frequency warped beforehand, and its direct form filter.
   */
  @ParameterizedTest
  @CsvSource({
    "44100, 100, 0.7071, 6",
    "44100, 997, 3, -12",
    "48000, 60, 0.5, -4",
    "48000, 8000, 1.2, 15",
    "96000, 40, 0.7071, 9",
    "192000, 12000, 0.9, -9",
    "8000, 3500, 2, 4"
  })
  void everySectionIsSciPysTransformOfItsPrototype(double rate, double hz, double q, double gainDb)
      throws Exception {
    float[] x = noise(4000);
    Biquad[] sections = {
      Biquad.lowPass(rate, hz, q),
      Biquad.highPass(rate, hz, q),
      Biquad.bandPass(rate, hz, q),
      Biquad.notch(rate, hz, q),
      Biquad.allPass(rate, hz, q),
      Biquad.peaking(rate, hz, q, gainDb),
      Biquad.lowShelf(rate, hz, q, gainDb),
      Biquad.highShelf(rate, hz, q, gainDb)
    };
    double[] ours = new double[sections.length * x.length];
    for (int k = 0; k < sections.length; k++) {
      for (int i = 0; i < x.length; i++) {
        ours[k * x.length + i] = sections[k].process(x[i]);
      }
    }
    String script =
        """
        x = np.fromfile('x')
        rate, hz, q, gain = np.fromfile('settings')
        A = 10 ** (gain / 40)
        r = A ** 0.5 / q
        prototypes = [
            ([1], [1, 1/q, 1]),
            ([1, 0, 0], [1, 1/q, 1]),
            ([1/q, 0], [1, 1/q, 1]),
            ([1, 0, 1], [1, 1/q, 1]),
            ([1, -1/q, 1], [1, 1/q, 1]),
            ([1, A/q, 1], [1, 1/(A*q), 1]),
            ([A, A*r, A*A], [A, r, 1]),
            ([A*A, A*r, A], [1, r, A]),
        ]
        w = 2 * rate * np.tan(np.pi * hz / rate)
        y = np.concatenate([s.lfilter(*s.bilinear(*s.lp2lp(b, a, w), rate), x) for b, a in prototypes])
        """;
    double[] scipys =
        new SciPy(folder).with("x", x).with("settings", rate, hz, q, gainDb).y(script);
    assertArrayEquals(scipys, ours, 1e-8);
  }

  /** Taps as a polyphase filter has them, several at once, over blocks. */
  @Test
  void aFirIsSciPysCorrelation() throws Exception {
    int taps = 64;
    int block = 300;
    float[] x = noise(2 * block + taps - 1);
    float[] h = noise(3 * taps);
    float[][] phases = new float[3][taps];
    for (int p = 0; p < 3; p++) {
      System.arraycopy(h, p * taps, phases[p], 0, taps);
    }
    Fir fir = new Fir(phases, block);
    double[] ours = new double[3 * 2 * block];
    float[][] to = new float[3][block];
    for (int part = 0; part < 2; part++) {
      fir.apply(x, part * block, to, block);
      for (int p = 0; p < 3; p++) {
        for (int i = 0; i < block; i++) {
          ours[(2 * p + part) * block + i] = to[p][i];
        }
      }
    }
    double[] scipys =
        new SciPy(folder)
            .with("x", x)
            .with("h", h)
            .y(
                "x, h = np.fromfile('x'), np.fromfile('h').reshape(3, -1)\n"
                    + "y = np.concatenate([s.correlate(x, taps, 'valid') for taps in h])");
    // Sums of 64 products of floats of up to a half.
    assertArrayEquals(scipys, ours, 3e-6);
  }

  /** The kernel of resampler and true peak is SciPy's firwin with a Kaiser window of its own. */
  @ParameterizedTest
  @CsvSource({"0.5, 16, 50.5", "0.25, 40, 80", "0.1, 101, 126"})
  void theKernelIsSciPysWindowedSinc(double cutoff, int half, double attenuation) throws Exception {
    KaiserSinc kernel = new KaiserSinc(cutoff, half, attenuation);
    double[] ours = new double[2 * half + 1];
    for (int i = 0; i < ours.length; i++) {
      ours[i] = kernel.at(i - half);
    }
    // At its very ends, where a Kaiser window is not yet 0, ours is.
    double[] scipys =
        new SciPy(folder)
            .with("settings", cutoff, half, attenuation)
            .y(
                """
                cutoff, half, attenuation = np.fromfile('settings')
                t = np.arange(-half, half + 1)
                window = s.get_window(('kaiser', s.kaiser_beta(attenuation)), len(t), False)
                y = 2 * cutoff * np.sinc(2 * cutoff * t) * window
                y[[0, -1]] = 0
                """);
    assertArrayEquals(scipys, ours, 1e-12);
  }

  @Test
  void theWindowsAreSciPys() throws Exception {
    int n = 255;
    double[] ours = new double[3 * n];
    float[][] windows = {Windows.hann(n), Windows.hamming(n), Windows.blackmanHarris(n)};
    for (int w = 0; w < 3; w++) {
      for (int i = 0; i < n; i++) {
        ours[w * n + i] = windows[w][i];
      }
    }
    double[] scipys =
        new SciPy(folder)
            .y(
                "y = np.concatenate([s.get_window(w, 255) for w in"
                    + " ('hann', 'hamming', 'blackmanharris')])");
    assertArrayEquals(scipys, ours, 1e-7);
  }
}
