package takewright.retune;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.Arrays;
import java.util.Random;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.LongRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.audio.PassingSource;

class RetuneTest {
  @ParameterizedTest
  @CsvSource({
    "44100, 0, 440, 37.3",
    "48000, 0, 55, -60",
    "48000, 0, 3951.07, 60",
    "48000, 44100, 220, -12.345",
    "44100, 48000, 1000, 1",
    "96000, 48000, 440, -0.5",
    "48000, 0, 440, 1200",
    "48000, 0, 440, -1200",
  })
  void pitchIsExactToAHundredthOfACent(int rate, int outputRate, double hz, double cents) {
    int length = 3 * rate;
    Clip moved =
        Retune.apply(Clip.of(rate, sine(hz / rate, length)), new RetuneSettings(cents, outputRate));
    double expected = hz * Math.pow(2, cents / 1200) / moved.sampleRate();
    // The advance of the phase between two windows, against that of the sine expected.
    float[] y = moved.channel(0);
    int apart = y.length / 2;
    int size = y.length / 5;
    double advance =
        phase(y, y.length / 8 + apart, size, expected) - phase(y, y.length / 8, size, expected);
    double cycles = Math.IEEEremainder(advance, 2 * Math.PI) / (2 * Math.PI);
    double measured = expected + cycles / apart;
    assertEquals(0, 1200 * Math.log(measured / expected) / Math.log(2), 0.01);
  }

  @Test
  void aClickStaysWhereMapFrameSays() {
    float[] x = new float[20_000];
    x[12_345] = 0.9f;
    RetuneSettings settings = new RetuneSettings(-43.21, 48_000);
    float[] y = Retune.apply(Clip.of(44_100, x), settings).channel(0);
    int peak = 0;
    for (int i = 0; i < y.length; i++) {
      peak = Math.abs(y[i]) > Math.abs(y[peak]) ? i : peak;
    }
    assertEquals(Retune.mapFrame(12_345, 44_100, settings), peak);
  }

  @Test
  void withoutAShiftNothingIsTouched() {
    Clip clip = Clip.of(48_000, noise(1, 100));
    assertSame(clip, Retune.apply(clip, new RetuneSettings(0, 0)));
    assertSame(clip, Retune.apply(clip, new RetuneSettings(0, 48_000)));
    AudioSource source = clip.source();
    assertSame(source, Retune.stream(source, new RetuneSettings(0, 48_000)));
  }

  @Test
  void anEmptySampleStaysEmpty() {
    assertEquals(
        0, Retune.apply(Clip.of(48_000, new float[0]), new RetuneSettings(10, 0)).frames());
  }

  @Test
  void refusesAResultThatNoClipHolds() {
    // 48 times as many frames: 24 for the rate, 2 for the octave down.
    Clip clip = Clip.of(8000, new float[45_000_000]);
    assertThrows(
        IllegalArgumentException.class,
        () -> Retune.apply(clip, new RetuneSettings(-1200, 192_000)));
  }

  @Property(tries = 60)
  void streamGivesTheSameSamples(
      @ForAll long seed,
      @ForAll @IntRange(max = 5000) int frames,
      @ForAll @IntRange(min = 1, max = 3) int channels,
      @ForAll @DoubleRange(min = -1200, max = 1200) double cents,
      @ForAll @IntRange(min = 8000, max = 96_000) int outputRate)
      throws IOException {
    float[][] x = new float[channels][];
    for (int c = 0; c < channels; c++) {
      x[c] = noise(seed + c, frames);
    }
    Clip clip = Clip.of(44_100, x);
    RetuneSettings settings = new RetuneSettings(cents, outputRate);
    Clip whole = Retune.apply(clip, settings);
    assertEquals(Retune.outputFrames(frames, 44_100, settings), whole.frames());
    assertEquals(
        frames * whole.sampleRate() / 44_100.0 / Math.pow(2, cents / 1200), whole.frames(), 1);
    assertEquals(outputRate, whole.sampleRate());

    float[][] y = new float[channels][whole.frames() + 1];
    Random random = new Random(seed);
    int read = 0;
    try (AudioSource stream = Retune.stream(halting(clip, random), settings)) {
      assertEquals(outputRate, stream.sampleRate());
      assertEquals(channels, stream.channels());
      assertEquals(whole.frames(), stream.frames());
      while (true) {
        int n = stream.read(y, read, Math.min(1 + random.nextInt(700), y[0].length - read));
        if (n < 0) {
          break;
        }
        assertTrue(n > 0);
        read += n;
      }
    }
    assertEquals(whole.frames(), read);
    for (int c = 0; c < channels; c++) {
      assertArrayEquals(whole.channel(c), Arrays.copyOf(y[c], read));
      for (float sample : whole.channel(c)) {
        assertTrue(Math.abs(sample) < 4, "not finite, or far beyond the input: " + sample);
      }
    }
  }

  @Property
  void mapFrameKeepsTheOrderAndTheEnd(
      @ForAll @LongRange(min = 0, max = 1_000_000_000_000L) long frame,
      @ForAll @LongRange(min = 0, max = 100_000) long further,
      @ForAll @DoubleRange(min = -1200, max = 1200) double cents,
      @ForAll @IntRange(min = 8000, max = 192_000) int outputRate) {
    RetuneSettings settings = new RetuneSettings(cents, outputRate);
    long a = Retune.mapFrame(frame, 48_000, settings);
    long b = Retune.mapFrame(frame + further, 48_000, settings);
    assertTrue(a <= b);
    assertTrue(b <= Retune.outputFrames(frame + further, 48_000, settings));
    assertEquals(0, Retune.mapFrame(0, 48_000, settings));
  }

  /** The clip as a source that gives as many frames as it likes at a time. */
  private static AudioSource halting(Clip clip, Random random) {
    return new PassingSource(clip.source()) {
      @Override
      public int read(float[][] planar, int offset, int count) throws IOException {
        return super.read(planar, offset, Math.min(count, 1 + random.nextInt(900)));
      }
    };
  }

  private static double phase(float[] samples, int from, int size, double frequency) {
    double re = 0;
    double im = 0;
    for (int i = 0; i < size; i++) {
      // A Hann window keeps the sine's mirror image out of the sum.
      double w = 0.5 - 0.5 * Math.cos(2 * Math.PI * i / size);
      double angle = 2 * Math.PI * frequency * (from + i);
      re += w * samples[from + i] * Math.cos(angle);
      im -= w * samples[from + i] * Math.sin(angle);
    }
    return Math.atan2(im, re);
  }

  private static float[] sine(double frequency, int length) {
    float[] samples = new float[length];
    for (int i = 0; i < length; i++) {
      samples[i] = (float) (0.5 * Math.sin(2 * Math.PI * frequency * i));
    }
    return samples;
  }

  private static float[] noise(long seed, int length) {
    Random random = new Random(seed);
    float[] samples = new float[length];
    for (int i = 0; i < length; i++) {
      samples[i] = random.nextFloat() - 0.5f;
    }
    return samples;
  }
}
