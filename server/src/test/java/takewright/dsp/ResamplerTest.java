package takewright.dsp;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.MethodSource;
import takewright.testing.Outside;

/**
 * What the resampler does to sound, measured. Found over all rates below: gain within 0.000005 dB,
 * all else at -124.8 dB or lower in the pass band, and nothing above -124.3 dB beyond it.
 */
class ResamplerTest {
  private static final double AMPLITUDE = 0.5;

  /** Rates in hertz, the second in the input's time, so that shifts in pitch are among them. */
  static List<Arguments> rates() {
    List<Arguments> rates = new ArrayList<>();
    for (double[] pair :
        new double[][] {
          {44_100, 48_000},
          {48_000, 44_100},
          {96_000, 48_000},
          {44_100, 96_000},
          {192_000, 44_100},
          {48_000, 96_000},
          {48_000, 24_000},
          {192_000, 8000},
          {22_050, 44_100}
        }) {
      rates.add(Arguments.of(pair[0], pair[1]));
    }
    for (double rate : new double[] {44_100, 48_000}) {
      for (double cents : new double[] {-60, -17.3, -1, 1, 5, 17.3, 20, 60}) {
        rates.add(Arguments.of(rate, rate / Math.pow(2, cents / 1200)));
      }
    }
    return rates;
  }

  /**
   * Sines up to 20 kHz as heard in the result (of a rate of 44.1 kHz; in proportion where it is a
   * shift up) come through within 0.01 dB, without delay, and with all else 120 dB below them.
   */
  @ParameterizedTest
  @MethodSource("rates")
  void passBandIsFlatAndClean(double inputRate, double outputRate) {
    double top = Math.min(20_000, Math.min(inputRate, outputRate) / 2 * 20_000 / 22_050);
    double low = Double.MAX_VALUE;
    double high = -Double.MAX_VALUE;
    double rest = -Double.MAX_VALUE;
    for (int k = 0; k <= 24; k++) {
      double hz = k < 4 ? 20 + 100 * k : top * k / 24;
      float[] y = run(inputRate, outputRate, Tone.sine(hz / inputRate, AMPLITUDE, 9000));
      int edge = y.length / 4;
      Tone tone = Tone.fit(y, edge, y.length - edge, hz / outputRate);
      double gain = Tone.db(tone.amplitude() / AMPLITUDE);
      low = Math.min(low, gain);
      high = Math.max(high, gain);
      rest = Math.max(rest, Tone.db(tone.restRms() * Math.sqrt(2) / AMPLITUDE));
      assertEquals(0, tone.phase(), 1e-5, "delayed at " + hz + " Hz");
    }
    assertTrue(low >= -0.01 && high <= 0.01, "gain " + low + " to " + high + " dB");
    assertTrue(rest <= -120, "rest " + rest + " dB");
  }

  /** Sines between the pass band and half the input's rate leave no alias and no image. */
  @ParameterizedTest
  @MethodSource("rates")
  void nothingFolds(double inputRate, double outputRate) {
    double nyquist = Math.min(inputRate, outputRate) / 2;
    double from = nyquist * 0.9;
    double rest = -Double.MAX_VALUE;
    for (int k = 0; k < 40; k++) {
      double hz = from + (inputRate / 2 * 0.9995 - from) * k / 39;
      float[] y = run(inputRate, outputRate, Tone.sine(hz / inputRate, AMPLITUDE, 9000));
      int edge = y.length / 4;
      double left =
          hz < nyquist
              ? Tone.fit(y, edge, y.length - edge, hz / outputRate).restRms()
              : Tone.rms(y, edge, y.length - edge);
      rest = Math.max(rest, Tone.db(left * Math.sqrt(2) / AMPLITUDE));
    }
    assertTrue(rest <= -120, "alias " + rest + " dB");
  }

  @ParameterizedTest
  @MethodSource("rates")
  void constantStaysConstant(double inputRate, double outputRate) {
    float[] x = new float[6000];
    Arrays.fill(x, 0.25f);
    float[] y = run(inputRate, outputRate, x);
    for (int i = y.length / 3; i < y.length * 2 / 3; i++) {
      assertEquals(0.25, y[i], 5e-7);
    }
  }

  /** Linear phase: what an impulse becomes is the same to both sides of where it was. */
  @ParameterizedTest
  @CsvSource({"44100, 88200", "48000, 96000", "96000, 48000", "44100, 14700"})
  void impulseIsSymmetric(double inputRate, double outputRate) {
    float[] x = new float[6000];
    x[3000] = 1;
    float[] y = run(inputRate, outputRate, x);
    int middle = (int) Resampler.mapFrame(3000, outputRate / inputRate);
    for (int i = 1; i < 400; i++) {
      assertEquals(y[middle - i], y[middle + i], 1e-7, "at " + i);
    }
    for (int i = 0; i < y.length; i++) {
      assertTrue(i == middle || Math.abs(y[i]) < y[middle], "peak at " + i);
    }
  }

  @Test
  void firstAndLastFramesAreKept() {
    float[] x = Tone.sine(0.01, AMPLITUDE, 4800);
    x[0] = 0.1f;
    float[] y = run(48_000, 48_000 * 1.0000001, x);
    assertEquals(4801, y.length);
    assertEquals(0.1, y[0], 0.02);
    assertEquals(x[4799], y[4799], 0.02);
  }

  @Test
  void emptyInputGivesNothing() {
    assertEquals(0, run(44_100, 48_000, new float[0]).length);
  }

  @Test
  void refusesWhatItCannotDo() {
    assertThrows(IllegalArgumentException.class, () -> new Resampler(48_000, 500, 1));
    assertThrows(IllegalArgumentException.class, () -> new Resampler(0, 48_000, 1));
    assertThrows(IllegalArgumentException.class, () -> new Resampler(48_000, Double.NaN, 1));
    assertThrows(IllegalArgumentException.class, () -> new Resampler(48_000, 44_100, 0));
  }

  @Test
  void channelsDoNotTouchEachOther() {
    Random random = new Random(7);
    float[] a = noise(random, 3000);
    float[] b = noise(random, 3000);
    float[][] both = run(44_100, 45_000, a, b);
    assertArrayEquals(run(44_100, 45_000, a), both[0]);
    assertArrayEquals(run(44_100, 45_000, b), both[1]);
  }

  /**
   * SciPy's resample_poly with a long Kaiser filter of its own (24001 taps, beta 13) gives the same
   * samples for a chord inside the pass band.
   */
  @Test
  void agreesWithSciPy(@TempDir Path folder) throws Exception {
    float[] x = chord(20_000);
    write(folder.resolve("in.f32"), x);
    String script =
        "import numpy as np, scipy.signal as s;"
            + "x=np.fromfile('in.f32','<f4').astype(float);"
            + "h=s.firwin(24001,1/160.0*0.955,window=('kaiser',13.0));"
            + "s.resample_poly(x,160,147,window=h).astype('<f4').tofile('out.f32')";
    int exit = start(folder, Outside.python().toString(), "-c", script);
    assertEquals(0, exit, () -> log(folder));
    assertDifference(read(folder.resolve("out.f32")), run(44_100, 48_000, x), -110);
  }

  /**
   * SoX's best linear-phase rate change gives nearly the same samples for a chord in the pass band.
   * The limit is SoX's own: SciPy, above, agrees to -130 dB, SoX with either to -89 dB.
   */
  @Test
  void agreesWithSox(@TempDir Path folder) throws Exception {
    Path sox = Outside.tool("sox");
    float[] x = chord(20_000);
    write(folder.resolve("in.f32"), x);
    int exit =
        start(
            folder,
            sox.toString(),
            "-D",
            "-r",
            "44100",
            "-c",
            "1",
            "in.f32",
            "-r",
            "48000",
            "out.f32",
            "rate",
            "-v");
    assertEquals(0, exit, () -> log(folder));
    assertDifference(read(folder.resolve("out.f32")), run(44_100, 48_000, x), -85);
  }

  private static void assertDifference(float[] expected, float[] actual, double limitDb) {
    assertEquals(expected.length, actual.length, 1);
    int n = Math.min(expected.length, actual.length);
    float[] difference = new float[n];
    for (int i = 0; i < n; i++) {
      difference[i] = expected[i] - actual[i];
    }
    double db =
        Tone.db(Tone.rms(difference, n / 4, n * 3 / 4) / Tone.rms(expected, n / 4, n * 3 / 4));
    assertTrue(db <= limitDb, "difference " + db + " dB");
  }

  private static float[] chord(int length) {
    float[] x = new float[length];
    for (double hz : new double[] {55, 440, 1234.5, 5000, 9876, 15_000, 18_500}) {
      float[] tone = Tone.sine(hz / 44_100, 0.1, length);
      for (int i = 0; i < length; i++) {
        x[i] += tone[i];
      }
    }
    return x;
  }

  private static float[] noise(Random random, int length) {
    float[] x = new float[length];
    for (int i = 0; i < length; i++) {
      x[i] = random.nextFloat() - 0.5f;
    }
    return x;
  }

  static float[] run(double inputRate, double outputRate, float[] x) {
    return run(inputRate, outputRate, new float[][] {x})[0];
  }

  private static float[][] run(double inputRate, double outputRate, float[]... x) {
    Resampler resampler = new Resampler(inputRate, outputRate, x.length);
    int length = (int) Resampler.outputFrames(x[0].length, resampler.ratio());
    float[][] y = new float[x.length][length];
    int written = 0;
    int read = 0;
    while (true) {
      if (written < x[0].length) {
        written += resampler.write(x, written, x[0].length - written);
      } else {
        resampler.end();
      }
      int n = resampler.read(y, read, Math.max(1, length - read));
      if (n < 0) {
        assertEquals(length, read);
        return y;
      }
      read += n;
    }
  }

  private static String log(Path folder) {
    try {
      return Files.readString(folder.resolve("log"));
    } catch (IOException e) {
      return e.toString();
    }
  }

  private static int start(Path folder, String... command) throws Exception {
    Process process =
        new ProcessBuilder(command)
            .directory(folder.toFile())
            .redirectErrorStream(true)
            .redirectOutput(folder.resolve("log").toFile())
            .start();
    return process.waitFor();
  }

  private static void write(Path file, float[] samples) throws IOException {
    ByteBuffer bytes = ByteBuffer.allocate(4 * samples.length).order(ByteOrder.LITTLE_ENDIAN);
    bytes.asFloatBuffer().put(samples);
    Files.write(file, bytes.array());
  }

  private static float[] read(Path file) throws IOException {
    ByteBuffer bytes = ByteBuffer.wrap(Files.readAllBytes(file)).order(ByteOrder.LITTLE_ENDIAN);
    float[] samples = new float[bytes.remaining() / 4];
    bytes.asFloatBuffer().get(samples);
    return samples;
  }
}
