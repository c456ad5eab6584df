package takewright.analyse;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.dsp.KaiserSinc;

class TruePeakTest {
  /**
   * EBU Tech 3341 (2023), table 1, cases 15 to 19: sines at a whole part of the rate, in the phase
   * that hides the peak; faded in and out over 10 ms; +0.2/-0.4 dB.
   */
  @ParameterizedTest(name = "case {0} at {5} Hz")
  @CsvSource({
    "15, 4, 0.50, 0, -6, 48000",
    "16, 4, 0.50, 45, -6, 48000",
    "17, 6, 0.50, 60, -6, 48000",
    "18, 8, 0.50, 67.5, -6, 48000",
    "19, 4, 1.41, 45, 3, 48000",
    "16, 4, 0.50, 45, -6, 44100",
    "16, 4, 0.50, 45, -6, 96000",
    "19, 4, 1.41, 45, 3, 192000",
  })
  void tech3341(int number, int part, double amplitude, double degrees, double expected, int rate) {
    float[] samples = new float[rate / 5];
    for (int i = 0; i < samples.length; i++) {
      double fade = Math.min(1, Math.min(i, samples.length - 1 - i) / (0.01 * rate));
      samples[i] =
          (float) (amplitude * fade * Math.sin(2 * Math.PI * i / part + Math.toRadians(degrees)));
    }
    assertWithin(expected, measured(rate, samples));
  }

  /**
   * EBU Tech 3341 (2023), table 1, cases 20 to 23: a sine at a sixth of the rate and half of full
   * scale, with one period at a quarter of the rate and full scale in it; made at four times the
   * rate, filtered, and every fourth sample taken from an offset on; +0.2/-0.4 dB.
   */
  @ParameterizedTest(name = "case 2{0}")
  @ValueSource(ints = {0, 1, 2, 3})
  void tech3341Burst(int offset) {
    int rate = 48_000;
    double[] fine = new double[4 * rate / 5];
    int burst = fine.length / 2 / 24 * 24;
    for (int i = 0; i < fine.length; i++) {
      double fade = Math.min(1, Math.min(i, fine.length - 1 - i) / (0.01 * 4 * rate));
      if (i < burst) {
        fine[i] = 0.5 * fade * Math.sin(2 * Math.PI * i / 24);
      } else if (i < burst + 16) {
        fine[i] = fade * Math.sin(2 * Math.PI * (i - burst) / 16);
      } else {
        fine[i] = 0.5 * fade * Math.sin(2 * Math.PI * (i - burst - 16) / 24);
      }
    }
    KaiserSinc lowPass = new KaiserSinc(0.125, 200, 80);
    float[] samples = new float[fine.length / 4];
    for (int i = 0; i < samples.length; i++) {
      double sum = 0;
      for (int k = -199; k < 200; k++) {
        int at = 4 * i + offset + k;
        sum += at >= 0 && at < fine.length ? fine[at] * lowPass.at(k) : 0;
      }
      samples[i] = (float) sum;
    }
    assertWithin(0, measured(rate, samples));
  }

  /** Sines up to 20 kHz, in phases that hide the peak, are read within 0.2 dB. */
  @ParameterizedTest
  @ValueSource(ints = {44_100, 48_000, 88_200, 96_000, 192_000})
  void sinesAreReadWithinAFifthOfADecibel(int rate) {
    for (double hz = 100; hz <= 20_000; hz += 995) {
      for (int phase = 0; phase < 5; phase++) {
        float[] samples = new float[4000];
        for (int i = 0; i < samples.length; i++) {
          // Faded, so that no step at either end makes a peak of its own.
          double fade = Math.min(1, Math.min(i, samples.length - 1 - i) / 1000.0);
          samples[i] = (float) (0.5 * fade * Math.sin(2 * Math.PI * hz / rate * i + 0.3 * phase));
        }
        assertEquals(-6.02, measured(rate, samples), 0.2, hz + " Hz");
      }
    }
  }

  @Test
  void silenceIsAtTheBottom() {
    assertEquals(-200, measured(48_000, new float[1000]));
    assertEquals(-200, measured(48_000, new float[0]));
  }

  @Property(tries = 100)
  void blocksAndShortcutsChangeNothing(
      @ForAll long seed, @ForAll @IntRange(min = 1, max = 3000) int frames) {
    Random random = new Random(seed);
    float[] samples = new float[frames];
    float smooth = random.nextBoolean() ? 0 : 0.99f * random.nextFloat();
    float highest = 0;
    for (int i = 0; i < frames; i++) {
      samples[i] = (float) (0.2 * random.nextGaussian() * random.nextFloat());
      // Smooth sound, whose peaks are told from its bends, as well as noise.
      samples[i] += i == 0 ? 0 : smooth * (samples[i - 1] - samples[i]);
      highest = Math.max(highest, Math.abs(samples[i]));
    }
    TruePeak blocks = new TruePeak(48_000, 1);
    for (int at = 0; at < frames; ) {
      int n = Math.min(frames - at, 1 + random.nextInt(300));
      blocks.feed(new float[][] {samples}, at, n);
      at += n;
    }
    double whole = measured(48_000, samples);
    assertEquals(whole, blocks.dbtp(), 1e-6);
    assertTrue(whole >= 20 * Math.log10(highest) - 1e-6);

    // Every value between the samples, one by one.
    KaiserSinc kernel = new KaiserSinc(0.5, 16, 50);
    double expected = highest;
    for (int i = -32; i < frames + 32; i++) {
      for (int p = 1; p < 8; p++) {
        double sum = 0;
        for (int k = Math.max(0, i - 16); k < Math.min(frames, i + 17); k++) {
          sum += samples[k] * kernel.at(k - i - p / 8.0);
        }
        expected = Math.max(expected, Math.abs(sum));
      }
    }
    assertEquals(20 * Math.log10(expected), whole, 0.03);
  }

  private static void assertWithin(double expected, double measured) {
    assertTrue(
        measured >= expected - 0.4 && measured <= expected + 0.2,
        measured + " dBTP, not " + expected);
  }

  private static double measured(int rate, float[] samples) {
    TruePeak peak = new TruePeak(rate, 1);
    peak.feed(new float[][] {samples}, 0, samples.length);
    return peak.dbtp();
  }
}
