package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.Outside;

class ConvolverTest {
  /** The sum that defines it, in double. */
  private static double[] direct(float[] x, float[] h) {
    double[] y = new double[x.length + h.length - 1];
    for (int i = 0; i < x.length; i++) {
      for (int k = 0; k < h.length; k++) {
        y[i + k] += (double) x[i] * h[k];
      }
    }
    return y;
  }

  private static float[] noise(int n, long seed) {
    Random random = new Random(seed);
    float[] x = new float[n];
    for (int i = 0; i < n; i++) {
      x[i] = (float) (0.2 * random.nextGaussian());
    }
    return x;
  }

  /** All output, written and read in pieces of changing size. */
  private static float[][] run(Convolver convolver, float[][] in, int outputs, Random sizes) {
    List<float[][]> pieces = new ArrayList<>();
    int total = 0;
    int written = 0;
    while (true) {
      if (written < in[0].length) {
        written += convolver.write(in, written, Math.min(in[0].length - written, size(sizes)));
      } else {
        convolver.end();
      }
      int most = size(sizes);
      float[][] piece = new float[outputs][most];
      int n = convolver.read(piece, 0, most);
      if (n < 0) {
        break;
      }
      float[][] kept = new float[outputs][];
      for (int c = 0; c < outputs; c++) {
        kept[c] = java.util.Arrays.copyOf(piece[c], n);
      }
      pieces.add(kept);
      total += n;
    }
    float[][] all = new float[outputs][total];
    int at = 0;
    for (float[][] piece : pieces) {
      for (int c = 0; c < outputs; c++) {
        System.arraycopy(piece[c], 0, all[c], at, piece[c].length);
      }
      at += piece[0].length;
    }
    return all;
  }

  private static int size(Random sizes) {
    return 1 + sizes.nextInt(5000);
  }

  /** Largest difference against the largest value, in dB. */
  private static double errorDb(double[] wanted, float[] got) {
    assertEquals(wanted.length, got.length);
    double peak = 0;
    double error = 0;
    for (int i = 0; i < got.length; i++) {
      peak = Math.max(peak, Math.abs(wanted[i]));
      error = Math.max(error, Math.abs(wanted[i] - got[i]));
    }
    return 20 * Math.log10(error / peak);
  }

  @Property(tries = 60)
  void isTheSumThatDefinesIt(
      @ForAll @IntRange(min = 1, max = 3000) int frames,
      @ForAll @IntRange(min = 1, max = 3000) int taps,
      @ForAll long seed) {
    float[] x = noise(frames, seed);
    float[] h = noise(taps, seed + 1);
    Convolver convolver = new Convolver(1, 1, List.of(new Convolver.Path(0, 0, h)));
    float[][] y = run(convolver, new float[][] {x}, 1, new Random(seed));
    assertTrue(errorDb(direct(x, h), y[0]) < -120);
  }

  @Test
  void everyPathLeadsFromItsInputToItsOutput() {
    float[][] x = {noise(20_000, 1), noise(20_000, 2)};
    float[][] h = {noise(9000, 3), noise(17_000, 4), noise(500, 5), noise(12_345, 6)};
    Convolver convolver =
        new Convolver(
            2,
            2,
            List.of(
                new Convolver.Path(0, 0, h[0]),
                new Convolver.Path(0, 1, h[1]),
                new Convolver.Path(1, 0, h[2]),
                new Convolver.Path(1, 1, h[3])));
    float[][] y = run(convolver, x, 2, new Random(7));
    for (int to = 0; to < 2; to++) {
      double[] sum = new double[20_000 + 17_000 - 1];
      for (int from = 0; from < 2; from++) {
        double[] part = direct(x[from], h[2 * from + to]);
        for (int i = 0; i < part.length; i++) {
          sum[i] += part[i];
        }
      }
      assertTrue(errorDb(sum, y[to]) < -120);
    }
  }

  @Test
  void anImpulseGivesTheResponse() {
    float[] h = noise(20_000, 9);
    h[0] = 0.5f;
    float[] impulse = new float[30_000];
    impulse[12_000] = 1;
    float[][] y =
        run(
            new Convolver(1, 1, List.of(new Convolver.Path(0, 0, h))),
            new float[][] {impulse},
            1,
            new Random(1));
    for (int i = 0; i < h.length; i++) {
      assertEquals(h[i], y[0][12_000 + i], 1e-6);
    }
    for (int i = 0; i < 3000; i++) {
      assertEquals(0, y[0][i], 0, "silence goes in, silence comes out");
    }
  }

  /** A response of 6 s and a note of 10 s in stereo, compared with SciPy's convolution. */
  @Test
  void longOnesEqualSciPys(@TempDir Path folder) throws Exception {
    int rate = 48_000;
    float[][] x = {noise(10 * rate, 21), noise(10 * rate, 22)};
    float[][] h = {noise(6 * rate, 23), noise(6 * rate, 24)};
    for (float[] response : h) {
      for (int i = 0; i < response.length; i++) {
        response[i] *= (float) Math.exp(-6.9 * i / response.length);
      }
    }
    for (int c = 0; c < 2; c++) {
      write(folder.resolve("x" + c), x[c]);
      write(folder.resolve("h" + c), h[c]);
    }
    Process python =
        new ProcessBuilder(
                Outside.python().toString(),
                "-c",
                "import numpy as np, scipy.signal as s\n"
                    + "for c in '01':\n"
                    + "  x = np.fromfile('x'+c, '<f4').astype('f8')\n"
                    + "  h = np.fromfile('h'+c, '<f4').astype('f8')\n"
                    + "  s.fftconvolve(x, h).astype('<f8').tofile('y'+c)\n"
                    + "  y = s.fftconvolve(x[:3000], h[:3000])\n"
                    + "  z = s.convolve(x[:3000], h[:3000], method='direct')\n"
                    + "  assert np.abs(y - z).max() < 1e-12\n")
            .directory(folder.toFile())
            .redirectErrorStream(true)
            .start();
    String said = new String(python.getInputStream().readAllBytes());
    assertEquals(0, python.waitFor(), said);
    Convolver convolver =
        new Convolver(
            2, 2, List.of(new Convolver.Path(0, 0, h[0]), new Convolver.Path(1, 1, h[1])));
    float[][] y = run(convolver, x, 2, new Random(5));
    for (int c = 0; c < 2; c++) {
      double[] wanted = read(folder.resolve("y" + c));
      double db = errorDb(wanted, y[c]);
      assertTrue(db < -120, db + " dB");
    }
  }

  private static void write(Path file, float[] samples) throws IOException {
    ByteBuffer bytes = ByteBuffer.allocate(4 * samples.length).order(ByteOrder.LITTLE_ENDIAN);
    bytes.asFloatBuffer().put(samples);
    Files.write(file, bytes.array());
  }

  private static double[] read(Path file) throws IOException {
    ByteBuffer bytes = ByteBuffer.wrap(Files.readAllBytes(file)).order(ByteOrder.LITTLE_ENDIAN);
    double[] samples = new double[bytes.capacity() / 8];
    bytes.asDoubleBuffer().get(samples);
    return samples;
  }

  @Test
  void nothingInNothingOut() {
    Convolver convolver = new Convolver(1, 1, List.of(new Convolver.Path(0, 0, new float[9])));
    convolver.end();
    assertEquals(-1, convolver.read(new float[1][4], 0, 4));
    assertThrows(
        IllegalArgumentException.class,
        () -> new Convolver(1, 1, List.of(new Convolver.Path(0, 0, new float[0]))));
  }
}
