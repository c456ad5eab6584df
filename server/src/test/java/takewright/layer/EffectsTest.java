package takewright.layer;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import java.util.Random;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;

/** Each effect by the response that it shows. */
class EffectsTest {
  private static final int RATE = Measure.RATE;
  private static final float LEVEL = 0.25f;

  private static float[] responseOf(Effect effect) {
    LayerResult result = MakeLayer.apply(Measure.impulse(1, RATE, LEVEL), LayerSettings.of(effect));
    assertEquals(0, result.gainDb());
    return result.audio().channel(0);
  }

  /**
   * Butterworth of second order at the frequency that the bilinear transform puts it to: 1 / (1 +
   * (tan/tan)^4) for the power.
   */
  @ParameterizedTest
  @ValueSource(doubles = {40, 100, 300, 600, 2500, 8000, 15_000})
  void highAndLowPassAreButterworths(double hz) {
    double corner = 300;
    double ratio = Math.tan(Math.PI * hz / RATE) / Math.tan(Math.PI * corner / RATE);
    double low = -10 * Math.log10(1 + Math.pow(ratio, 4));
    double high = -10 * Math.log10(1 + Math.pow(ratio, -4));
    if (low > -70) {
      assertEquals(low, Measure.gainDb(responseOf(new Effect.LowPass(corner)), LEVEL, hz), 0.05);
    }
    assertEquals(high, Measure.gainDb(responseOf(new Effect.HighPass(corner)), LEVEL, hz), 0.05);
  }

  @Test
  void aBandPassIsAsWideAsItsQSays() {
    float[] h = responseOf(new Effect.BandPass(1000, 2));
    assertEquals(0, Measure.gainDb(h, LEVEL, 1000), 0.02);
    // The edges of a band 500 Hz wide around 1000 Hz, whose product is the centre's square.
    double half = 250;
    double lower = Math.sqrt(1000 * 1000 + half * half) - half;
    assertEquals(-3.01, Measure.gainDb(h, LEVEL, lower), 0.05);
    assertEquals(-3.01, Measure.gainDb(h, LEVEL, 1e6 / lower), 0.05);
  }

  @Test
  void shelvesRaiseOneSideAndLeaveTheOther() {
    float[] high = responseOf(new Effect.Shelf(true, 2000, 9));
    assertEquals(0, Measure.gainDb(high, LEVEL, 60), 0.05);
    assertEquals(4.5, Measure.gainDb(high, LEVEL, 2000), 0.05);
    assertEquals(9, Measure.gainDb(high, LEVEL, 20_000), 0.05);
    float[] low = responseOf(new Effect.Shelf(false, 400, -12));
    assertEquals(-12, Measure.gainDb(low, LEVEL, 10), 0.05);
    assertEquals(-6, Measure.gainDb(low, LEVEL, 400), 0.05);
    assertEquals(0, Measure.gainDb(low, LEVEL, 15_000), 0.05);
  }

  @Test
  void everyEchoComesAtItsTimeAndLevel() {
    float[] h = responseOf(new Effect.Delay(250, 0.5, null, -6));
    double first = LEVEL * Math.pow(10, -6 / 20.0);
    assertEquals(LEVEL, h[0], 1e-6);
    for (int echo = 1; echo <= 10; echo++) {
      assertEquals(first * Math.pow(0.5, echo - 1), h[echo * RATE / 4], 1e-6);
    }
    assertEquals(0, h[RATE / 4 - 1]);
    assertEquals(0, h[RATE / 4 + 1]);
  }

  @Test
  void aFilteredEchoGoesThroughTheFilterEachTime() {
    float[] h = responseOf(new Effect.Delay(500, 0.9, 2000.0, 0));
    float[] first = Arrays.copyOfRange(h, RATE / 2, RATE);
    float[] third = Arrays.copyOfRange(h, 3 * RATE / 2, 2 * RATE);
    assertEquals(-3.01, Measure.gainDb(first, LEVEL, 2000), 0.05);
    assertEquals(3 * -3.01 + 2 * 20 * Math.log10(0.9), Measure.gainDb(third, LEVEL, 2000), 0.1);
  }

  @ParameterizedTest
  @CsvSource({"1/4,120,500", "1/8,120,250", "1/8.,120,375", "1/4t,90,444.444", "1/1,60,4000"})
  void noteValuesFollowTheTempo(String note, double bpm, double ms) {
    assertEquals(ms, Effect.Delay.timeMs(note, bpm), 0.001);
  }

  @ParameterizedTest
  @ValueSource(doubles = {0.3, 1, 4, 12})
  void reverberationDiesAwayInItsTime(double decay) {
    float[] h = responseOf(new Effect.Reverb(decay, 0, 0));
    float[] room = h.clone();
    room[0] = 0;
    assertEquals(decay, Measure.t30(room, RATE), 0.1 * decay);
    // At wet_db 0 as much energy as the sound itself.
    assertEquals(0, 10 * Math.log10(Measure.energy(room) / (LEVEL * LEVEL)), 1.5);
  }

  /**
   * The low-passes of Jot and Chaigne (AES 90, 1991): at half the sample rate the time is the share
   * that damping says.
   */
  @Test
  void dampingShortensTheHighFrequencies() {
    float[] h = responseOf(new Effect.Reverb(3, 0.6, 0));
    h[0] = 0;
    Clip room = Clip.of(RATE, h);
    double low = Measure.t30(band(room, 250), RATE);
    double high = Measure.t30(band(room, 16_000), RATE);
    assertEquals(3, low, 0.3);
    assertTrue(high < 0.6 * low, high + " s");
    assertTrue(high > 3 * (1 - 0.9 * 0.6), high + " s");
  }

  private static float[] band(Clip clip, double hz) {
    return EffectChain.apply(
            clip, List.of(new Effect.BandPass(hz, 1.4), new Effect.BandPass(hz, 1.4)), 0)
        .channel(0);
  }

  @Test
  void reverberationMakesTwoChannelsThatDiffer() {
    Clip room =
        MakeLayer.apply(
                Measure.impulse(1, RATE, LEVEL), LayerSettings.of(new Effect.Reverb(2, 0.5, 0)))
            .audio();
    assertEquals(2, room.channels());
    double product = 0;
    for (int i = 1; i < room.frames(); i++) {
      product += (double) room.channel(0)[i] * room.channel(1)[i];
    }
    double energy =
        Math.sqrt(
            (Measure.energy(room.channel(0)) - LEVEL * LEVEL)
                * (Measure.energy(room.channel(1)) - LEVEL * LEVEL));
    assertTrue(Math.abs(product / energy) < 0.3, product / energy + "");
  }

  private static float[] sine(double hz, double level, int frames) {
    float[] x = new float[frames];
    for (int i = 0; i < frames; i++) {
      x[i] = (float) (level * Math.sin(2 * Math.PI * hz * i / RATE));
    }
    return x;
  }

  private static double levelDb(float[] x, double hz) {
    // A Hann window, whose side lobes are gone where other lines of the spectrum lie.
    double re = 0;
    double im = 0;
    for (int i = 0; i < x.length; i++) {
      double w = 1 - Math.cos(2 * Math.PI * i / x.length);
      re += w * x[i] * Math.cos(2 * Math.PI * hz * i / RATE);
      im += w * x[i] * Math.sin(2 * Math.PI * hz * i / RATE);
    }
    return 20 * Math.log10(2 * Math.hypot(re, im) / x.length);
  }

  /** Harmonics against the Fourier series of the curve; and nothing that folded back. */
  @Test
  void saturationBendsAndDoesNotFold() {
    double hz = 5000;
    double level = 0.5;
    double driveDb = 24;
    Clip clip = Clip.of(RATE, sine(hz, level, RATE));
    float[] out =
        MakeLayer.apply(clip, LayerSettings.of(new Effect.Saturation(driveDb))).audio().channel(0);
    assertEquals(RATE, out.length);
    double g = Math.pow(10, driveDb / 20);
    for (int harmonic = 1; harmonic <= 3; harmonic += 2) {
      double b = 0;
      int steps = 4096;
      for (int i = 0; i < steps; i++) {
        double t = 2 * Math.PI * i / steps;
        b += 2.0 / steps * Math.tanh(g * level * Math.sin(t)) / g * Math.sin(harmonic * t);
      }
      assertEquals(20 * Math.log10(Math.abs(b)), levelDb(out, harmonic * hz), 0.05);
    }
    double tone = levelDb(out, hz);
    // Odd harmonics beyond half the rate, folded: 35 kHz to 13, 45 to 3 kHz, and so on. What comes
    // to lie above 20 kHz is not heard, and not held back.
    for (double folded : new double[] {13_000, 3000, 7000, 17_000, 1000, 9000}) {
      assertTrue(levelDb(out, folded) < tone - 80, folded + " Hz: " + levelDb(out, folded));
    }
  }

  @Test
  void quietSoundKeepsItsLevelInSaturation() {
    Clip clip = Clip.of(RATE, sine(1000, 0.001, RATE));
    float[] out =
        MakeLayer.apply(clip, LayerSettings.of(new Effect.Saturation(12))).audio().channel(0);
    assertEquals(-60, levelDb(out, 1000), 0.01);
  }

  @Test
  void widthGainAndReverse() {
    float[] left = {0, 0.1f, 0.2f, 0.3f};
    float[] right = {0, 0.3f, -0.2f, 0.1f};
    Clip clip = Clip.of(RATE, left, right);
    Clip narrow = MakeLayer.apply(clip, LayerSettings.of(new Effect.Width(0))).audio();
    assertArrayEquals(new float[] {0, 0.2f, 0, 0.2f}, narrow.channel(0), 1e-7f);
    assertArrayEquals(narrow.channel(0), narrow.channel(1));
    Clip wide = MakeLayer.apply(clip, LayerSettings.of(new Effect.Width(2))).audio();
    assertArrayEquals(new float[] {0, 0, 0.4f, 0.4f}, wide.channel(0), 1e-7f);
    assertEquals(-0.2 * 2, wide.channel(1)[2], 1e-6);
    Clip soft = MakeLayer.apply(clip, LayerSettings.of(new Effect.Gain(-20))).audio();
    assertArrayEquals(new float[] {0, 0.01f, 0.02f, 0.03f}, soft.channel(0), 1e-7f);
    Clip back =
        MakeLayer.apply(clip, new LayerSettings(null, List.of(new Effect.Reverse()), 1)).audio();
    assertArrayEquals(new float[] {0, 0.3f, 0.2f, 0.1f}, back.channel(0));
    // The sample itself is not touched.
    assertArrayEquals(new float[] {0, 0.1f, 0.2f, 0.3f}, clip.channel(0));
  }

  @Provide
  Arbitrary<Effect> effects() {
    Arbitrary<Double> hz = Arbitraries.doubles().between(10, 20_000);
    Arbitrary<Double> wet = Arbitraries.doubles().between(-60, 12);
    return Arbitraries.oneOf(
        hz.map(Effect.HighPass::new),
        hz.map(Effect.LowPass::new),
        Combinators.combine(hz, Arbitraries.doubles().between(0.1, 30)).as(Effect.BandPass::new),
        Combinators.combine(Arbitraries.of(true, false), hz, Arbitraries.doubles().between(-24, 24))
            .as(Effect.Shelf::new),
        Combinators.combine(
                Arbitraries.doubles().between(1, 5000),
                Arbitraries.doubles().between(0, 0.95),
                hz.injectNull(0.3),
                wet)
            .as(Effect.Delay::new),
        Combinators.combine(
                Arbitraries.doubles().between(0.1, 30), Arbitraries.doubles().between(0, 1), wet)
            .as(Effect.Reverb::new),
        Arbitraries.doubles().between(0, 24).map(Effect.Saturation::new),
        Arbitraries.doubles().between(0, 2).map(Effect.Width::new),
        Arbitraries.just(new Effect.Reverse()),
        Arbitraries.doubles().between(-60, 24).map(Effect.Gain::new));
  }

  /** Whatever is allowed dies away: the end is silent, and no part is louder than the ceiling. */
  @Property(tries = 40)
  void everyChainIsStable(@ForAll("effects") Effect a, @ForAll("effects") Effect b) {
    Random random = new Random(3);
    float[] x = new float[800];
    for (int i = 0; i < x.length; i++) {
      x[i] = random.nextFloat() - 0.5f;
    }
    Clip out =
        MakeLayer.apply(Clip.of(8000, x), new LayerSettings(null, List.of(a, b), 100)).audio();
    assertTrue(out.frames() >= 800);
    assertTrue(Measure.peak(out) <= Math.pow(10, -1 / 20.0) + 1e-6);
    for (int c = 0; c < out.channels(); c++) {
      for (float v : out.channel(c)) {
        assertTrue(Float.isFinite(v));
      }
      // Played backwards, a sound ends where it was loudest.
      if (out.frames() > 8000 && !(a instanceof Effect.Reverse || b instanceof Effect.Reverse)) {
        float[] y = out.channel(c);
        double early = Measure.energy(Arrays.copyOf(y, y.length / 2));
        double late = Measure.energy(Arrays.copyOfRange(y, y.length / 2, y.length));
        assertTrue(late <= early, a + ", " + b);
        assertTrue(Math.abs(y[y.length - 1]) < 1e-4, a + ", " + b);
      }
    }
  }

  @Test
  void whatIsOutOfRangeIsRefusedByName() {
    IllegalArgumentException e =
        assertThrows(IllegalArgumentException.class, () -> new Effect.Delay(380, 1, null, -6));
    assertEquals(
        "`delay.feedback` is 1, which is out of range; give a number from 0 to 0.95",
        e.getMessage());
    assertThrows(IllegalArgumentException.class, () -> new Effect.HighPass(Double.NaN));
    assertThrows(IllegalArgumentException.class, () -> Effect.Delay.timeMs("1/5", 100));
    assertThrows(IllegalArgumentException.class, () -> LayerSettings.of());
  }
}
