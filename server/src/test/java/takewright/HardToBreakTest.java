package takewright;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assertions.fail;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.ThrowingSupplier;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.analyse.AnalyseSettings.Detail;
import takewright.analyse.SampleFacts;
import takewright.audio.Clip;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseSettings;
import takewright.diagnosis.Flag;
import takewright.layer.Effect;
import takewright.layer.LayerSettings;
import takewright.layer.MakeLayer;
import takewright.layer.RoomSettings;
import takewright.pitch.Pitch;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.segment.Region;
import takewright.segment.Segment;
import takewright.segment.SegmentSettings;
import takewright.segment.Segmentation;

/** No audio, however odd, makes an operation fail, hang, or give what is no number. */
class HardToBreakTest {
  /** Far more than any needs here, on a machine that does other things as well. */
  private static final Duration SOON = Duration.ofSeconds(60);

  /** What is in a clip; a name, and a sample at a frame. */
  private enum Sound {
    SILENCE,
    /** 100 Hz at full scale. */
    SQUARE,
    /** One frame at full scale among silence. */
    IMPULSE,
    DC,
    /** The smallest numbers that a float holds. */
    DENORMALS,
    NOISE,
    /** Far beyond full scale, as files of floats can be. */
    HUGE;

    float at(int frame, int rate, SplittableRandom random) {
      return switch (this) {
        case SILENCE -> 0;
        case SQUARE -> frame * 200L / rate % 2 == 0 ? 1 : -1;
        case IMPULSE -> frame == rate / 200 ? 1 : 0;
        case DC -> 1;
        case DENORMALS -> random.nextInt(3) * Float.MIN_VALUE;
        case NOISE -> (float) (2 * random.nextDouble() - 1);
        case HUGE -> (float) (1e6 * Math.sin(2 * Math.PI * 440 * frame / rate));
      };
    }
  }

  static Stream<Arguments> clips() {
    List<Arguments> all = new ArrayList<>();
    for (int rate : new int[] {8_000, 44_100, 192_000}) {
      for (int channels : new int[] {1, 32}) {
        // Shorter where there is more of it; at the longest a note for every detector.
        int frames = channels == 1 ? rate / 4 : rate / 100;
        for (Sound sound : Sound.values()) {
          all.add(arguments(sound, frames, rate, channels));
        }
        all.add(arguments(Sound.SILENCE, 0, rate, channels));
        all.add(arguments(Sound.SQUARE, 1, rate, channels));
        all.add(arguments(Sound.SQUARE, 2, rate, channels));
      }
    }
    return all.stream();
  }

  /** Without many channels at the highest rate, whose tails take longer than all the others. */
  static Stream<Arguments> clipsToLayer() {
    return clips()
        .filter(
            one -> {
              Clip clip = (Clip) one.get()[1];
              return clip.channels() == 1 || clip.sampleRate() < 192_000;
            });
  }

  private static Arguments arguments(Sound sound, int frames, int rate, int channels) {
    SplittableRandom random = new SplittableRandom(40);
    float[][] audio = new float[channels][frames];
    for (float[] channel : audio) {
      for (int i = 0; i < frames; i++) {
        channel[i] = sound.at(i, rate, random);
      }
    }
    String name = sound + ", " + frames + " frames, " + rate + " Hz, " + channels + " channels";
    return Arguments.of(name, Clip.of(rate, audio));
  }

  private static <T> T soon(ThrowingSupplier<T> work) {
    return assertTimeoutPreemptively(SOON, work);
  }

  private static void assertNumbers(Clip clip) {
    for (int c = 0; c < clip.channels(); c++) {
      float[] x = clip.channel(c);
      for (int i = 0; i < x.length; i++) {
        // The text is made for what fails alone: made for each sample, it took most of the time.
        if (!Float.isFinite(x[i])) {
          fail("channel " + c + ", frame " + i + ": " + x[i]);
        }
      }
    }
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("clips")
  void segment(String name, Clip clip) {
    Segmentation found = soon(() -> Segment.apply(clip.source(), SegmentSettings.DEFAULTS));
    long end = 0;
    for (Region region : found.regions()) {
      assertTrue(region.start() >= end, region::toString);
      assertTrue(region.onset() >= region.start(), region::toString);
      assertTrue(region.end() > region.start(), region::toString);
      assertTrue(region.end() <= clip.frames(), region::toString);
      assertTrue(region.confidence() >= 0 && region.confidence() <= 1, region::toString);
      assertNumbers(region.pitch());
      end = region.end();
    }
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("clips")
  void analyse(String name, Clip clip) {
    SampleFacts facts =
        soon(() -> Analyse.apply(clip, new AnalyseSettings(false, 440, Detail.FULL)));
    assertNumbers(facts.pitch());
    facts.pitches().forEach(HardToBreakTest::assertNumbers);
    // NaN says that there is none.
    assertTrue(!Double.isInfinite(facts.levelLufs()), facts::toString);
    assertTrue(Double.isFinite(facts.peakDbtp()), facts::toString);
    assertTrue(Double.isFinite(facts.floorDbfs()), facts::toString);
  }

  /**
   * Damage is looked for in time that grows in line with length, however long audio stands still.
   */
  @Test
  void audioThatStandsStillForMinutes() {
    float[] still = new float[48_000 * 120];
    Arrays.fill(still, 1);
    AnalyseSettings settings = new AnalyseSettings(true, 440, Detail.CHARACTER);
    assertTrue(
        soon(() -> Analyse.apply(Clip.of(48_000, still), settings)).flags().contains(Flag.DC));
  }

  private static void assertNumbers(Pitch pitch) {
    if (pitch != null) {
      assertTrue(Double.isFinite(pitch.cents()), pitch::toString);
      assertTrue(pitch.frequencyHz() > 0, pitch::toString);
      assertTrue(pitch.confidence() >= 0 && pitch.confidence() <= 1, pitch::toString);
    }
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("clips")
  void denoise(String name, Clip clip) {
    Clip clean = soon(() -> Denoise.apply(clip, DenoiseSettings.DEFAULTS)).audio();
    assertEquals(clip.frames(), clean.frames());
    assertEquals(clip.channels(), clean.channels());
    assertNumbers(clean);
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("clips")
  void retune(String name, Clip clip) {
    for (RetuneSettings settings :
        List.of(
            new RetuneSettings(-1200, 0),
            new RetuneSettings(13.7, 0),
            new RetuneSettings(1200, 8000),
            new RetuneSettings(0, 192_000))) {
      Clip moved = soon(() -> Retune.apply(clip, settings));
      assertEquals(Retune.outputFrames(clip.frames(), clip.sampleRate(), settings), moved.frames());
      assertNumbers(moved);
    }
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("clipsToLayer")
  void layer(String name, Clip clip) {
    float[] impulse = new float[500];
    Arrays.fill(impulse, 0.1f);
    LayerSettings room = LayerSettings.of(RoomSettings.of(Clip.of(48_000, impulse)));
    LayerSettings effects =
        LayerSettings.of(
            new Effect.HighPass(20),
            new Effect.LowPass(3000),
            new Effect.Shelf(true, 2000, 24),
            new Effect.BandPass(1000, 0.5),
            new Effect.Saturation(24),
            new Effect.Delay(5, 0.3, 2000.0, -6),
            new Effect.Reverb(0.1, 0.5, -6),
            new Effect.Width(2),
            new Effect.Gain(24));
    for (LayerSettings settings : List.of(room, effects)) {
      Clip layer = soon(() -> MakeLayer.apply(clip, settings)).audio();
      assertTrue(layer.frames() >= clip.frames());
      assertNumbers(layer);
      for (int c = 0; c < layer.channels(); c++) {
        for (float x : layer.channel(c)) {
          if (!(Math.abs(x) < 1)) {
            fail("beyond full scale: " + x);
          }
        }
      }
    }
  }

  /**
   * Files and streams refuse samples that are no numbers; what listens bears them all the same, and
   * cleaning makes them silence.
   */
  @ParameterizedTest(name = "{0}")
  @MethodSource("noNumbers")
  void samplesThatAreNoNumbers(String name, Clip clip) {
    soon(() -> Segment.apply(clip.source(), SegmentSettings.DEFAULTS));
    soon(() -> Analyse.apply(clip, new AnalyseSettings(false, 440, Detail.FULL)));
    assertNumbers(soon(() -> Denoise.apply(clip, DenoiseSettings.DEFAULTS)).audio());
  }

  static Stream<Arguments> noNumbers() {
    List<Arguments> all = new ArrayList<>();
    for (float bad : new float[] {Float.NaN, Float.POSITIVE_INFINITY, Float.NEGATIVE_INFINITY}) {
      float[] every = new float[24_000];
      Arrays.fill(every, bad);
      all.add(Arguments.of("all " + bad, Clip.of(48_000, every)));
      float[] some = new float[24_000];
      for (int i = 0; i < some.length; i++) {
        some[i] = i % 5000 == 4999 ? bad : (float) (0.1 * Math.sin(2 * Math.PI * 440 * i / 48_000));
      }
      all.add(Arguments.of("some " + bad, Clip.of(48_000, some)));
    }
    return all.stream();
  }
}
