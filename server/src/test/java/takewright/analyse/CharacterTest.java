package takewright.analyse;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.pitch.Pitch;
import takewright.testing.Recordings;

/** Levels over time, timbre, faults and likeness, of signals whose values follow from how made. */
class CharacterTest {
  private static final int RATE = 48_000;

  private static float[] noise(int frames, double amplitude, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[frames];
    for (int i = 0; i < frames; i++) {
      x[i] = (float) (amplitude * (2 * random.nextDouble() - 1));
    }
    return x;
  }

  private static float[] sine(int frames, double hz, double amplitude) {
    float[] x = new float[frames];
    for (int i = 0; i < frames; i++) {
      x[i] = (float) (amplitude * Math.sin(2 * Math.PI * hz * i / RATE));
    }
    return x;
  }

  /**
   * A linear rise has four fifths of it from a tenth to nine tenths (IEC 60469); a decay of so many
   * dB/s.
   */
  @Property(tries = 30, seed = "20261125")
  void theEnvelopeIsMeasured(
      @ForAll @DoubleRange(min = 0.03, max = 0.3) double start,
      @ForAll @DoubleRange(min = 0.01, max = 0.2) double rise,
      @ForAll @DoubleRange(min = 30, max = 120) double dbPerSecond) {
    float[] x = noise((int) (2.5 * RATE), 1e-5, 1);
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE - start;
      double after = t - rise;
      double level = t < 0 ? 0 : Math.min(1, t / rise);
      level *= after > 0 ? Math.pow(10, -dbPerSecond * after / 20) : 1;
      x[i] += (float) (0.5 * level * Math.sin(2 * Math.PI * 1000 * t));
    }
    Envelope envelope = Envelope.measure(Clip.of(RATE, x));
    // Within 40 dB: a hundredth of the rise; the level is one of 5 ms.
    assertEquals(start + 0.01 * rise, envelope.onsetS(), 0.004);
    assertEquals(800 * rise, envelope.attackMs(), 4 + 0.05 * 800 * rise);
    assertEquals(20_000 / dbPerSecond, envelope.decayMs(), 6 + 0.02 * 20_000 / dbPerSecond);
    // Where nothing but noise follows for a while, so that it is known.
    if (60 / dbPerSecond + start + rise < 2) {
      assertEquals(40_000 / dbPerSecond, envelope.releaseMs(), 12 + 400 / dbPerSecond * 4);
    }
    // White noise of 1e-5 to either side: a third of its square.
    assertEquals(20 * Math.log10(1e-5 / Math.sqrt(3)), envelope.floorBeforeDbfs(), 0.8);
  }

  @Test
  void steadyLevelAndSignalToNoiseAreThoseOfASineInNoise() {
    float[] x = noise(3 * RATE, 1e-3, 2);
    float[] tone = sine(RATE, 500, 0.1);
    for (int i = 0; i < RATE; i++) {
      x[RATE + i] += tone[i];
    }
    Envelope envelope = Envelope.measure(Clip.of(RATE, x));
    double steady = 20 * Math.log10(0.1 / Math.sqrt(2));
    double floor = 20 * Math.log10(1e-3 / Math.sqrt(3));
    assertEquals(1, envelope.onsetS(), 0.004);
    assertEquals(steady, envelope.steadyRmsDbfs(), 0.1);
    assertEquals(floor, envelope.floorBeforeDbfs(), 0.3);
    assertEquals(floor, envelope.floorAfterDbfs(), 0.5);
    assertEquals(steady - floor, envelope.signalToNoiseDb(), 0.6);
  }

  @Test
  void silenceHasNoEnvelope() {
    assertTrue(Double.isNaN(Envelope.measure(Clip.of(RATE, new float[RATE])).onsetS()));
    assertTrue(Double.isNaN(Envelope.measure(Clip.of(RATE, new float[3])).onsetS()));
  }

  /** A sine's centroid is its frequency; white noise's, by amplitude, half the band's end. */
  @Test
  void theCentroidIsTheMiddleOfTheSpectrum() {
    Timbre tone = Timbre.of(Clip.of(RATE, sine(RATE, 3000, 0.3)), null);
    assertEquals(3000, tone.centroidHz(), 3);
    Timbre white = Timbre.of(Clip.of(RATE, noise(RATE, 0.3, 4)), null);
    assertEquals(12_000, white.centroidHz(), 150);
    float[] change = sine(2 * RATE, 1000, 0.3);
    System.arraycopy(sine(RATE, 4000, 0.3), 0, change, RATE, RATE);
    Timbre course = Timbre.of(Clip.of(RATE, change), null);
    assertEquals(1000, course.centroidStartHz(), 30);
    assertEquals(4000, course.centroidEndHz(), 30);
  }

  /** Noise of a known share of the power. */
  @ParameterizedTest
  @ValueSource(doubles = {0.001, 0.01, 0.1, 0.25})
  void noisinessIsTheShareOfNoise(double share) {
    float[] x = sine(RATE, 220, 0.2 * Math.sqrt(1 - share));
    float[] noise = noise(RATE, 0.2 * Math.sqrt(1.5 * share), 5);
    for (int i = 0; i < x.length; i++) {
      x[i] += noise[i];
    }
    Timbre timbre = Timbre.of(Clip.of(RATE, x), Pitch.of(220, 440, 1));
    assertEquals(share, timbre.noisiness(), 0.25 * share + 0.001);
  }

  @Test
  void balanceAndCorrelationAreThoseOfTheChannels() {
    float[] left = noise(RATE, 0.2, 6);
    float[] right = left.clone();
    for (int i = 0; i < RATE; i++) {
      right[i] *= -0.5f;
    }
    Timbre turned = Timbre.of(Clip.of(RATE, left, right), null);
    assertEquals(-6.02, turned.balanceDb(), 0.01);
    assertEquals(-1, turned.correlation(), 1e-6);
    Timbre apart = Timbre.of(Clip.of(RATE, left, noise(RATE, 0.2, 7)), null);
    assertEquals(0, apart.correlation(), 0.02);
    assertTrue(Double.isNaN(Timbre.of(Clip.of(RATE, left), null).balanceDb()));
  }

  /** Cut at a limit, then lowered, then stored with 16 bits. */
  @Property(tries = 40, seed = "20261125")
  void clippingIsSeenAlsoWhereItWasLoweredAfterwards(
      @ForAll @DoubleRange(min = 40, max = 2500) double hz,
      @ForAll @DoubleRange(min = 0.3, max = 0.9) double limit,
      @ForAll @DoubleRange(min = 0.1, max = 1) double gain) {
    float[] x = sine(RATE / 2, hz, 0.9);
    float[] clean = x.clone();
    for (int i = 0; i < x.length; i++) {
      double decay = Math.exp(-3.0 * i / RATE);
      float v = (float) (x[i] * decay);
      clean[i] = Math.round(v * gain * 32767) / 32768f;
      float cut = (float) Math.max(-limit * 0.7, Math.min(limit * 0.7, v));
      x[i] = Math.round(cut * gain * 32767) / 32768f;
    }
    Faults faults = Faults.of(Clip.of(RATE, x));
    assertTrue(faults.clippedTops() > 0);
    assertEquals(20 * Math.log10(0.7 * limit * gain), faults.clipLevelDbfs(), 0.1);
    assertEquals(0, Faults.of(Clip.of(RATE, clean)).clippedTops());
  }

  @ParameterizedTest
  @ValueSource(strings = {"violin", "contrabass", "saxophone"})
  void noRecordingIsTakenForBroken(String instrument) {
    for (Recordings.Note note : Recordings.of(instrument)) {
      Faults faults = Faults.of(note.read(20));
      assertEquals(0, faults.clippedTops(), note.name());
      assertEquals(0, faults.dropouts(), note.name());
      assertEquals(0, faults.dc(), 0.002, note.name());
    }
  }

  @Property(tries = 20, seed = "20261125")
  void dropoutsAreSeenWhereTheyAre(
      @ForAll @IntRange(min = 3000, max = 40_000) int at,
      @ForAll @IntRange(min = 60, max = 3000) int frames,
      @ForAll boolean held) {
    float[] x = sine(RATE, 333, 0.3);
    float value = held ? x[at - 1] : 0;
    for (int i = at; i < at + frames; i++) {
      x[i] = value;
    }
    Faults faults = Faults.of(Clip.of(RATE, x));
    // A gap that begins and ends at zero crossings jumps nowhere, and is a rest.
    if (Math.abs(x[at - 1] - value) > 1e-3 || Math.abs(x[at + frames] - value) > 1e-3) {
      assertEquals(1, faults.dropouts());
      assertEquals(at, faults.firstDropoutFrame(), 1);
    }
    float[] rest = sine(RATE, 333, 0.3);
    java.util.Arrays.fill(rest, 20_000, RATE, 0);
    assertEquals(0, Faults.of(Clip.of(RATE, rest)).dropouts(), "a note that ends is no dropout");
  }

  /** Of a low note the tops are flat for milliseconds. */
  @Test
  void topsCutFlatAreNoDropouts() {
    float[] x = sine(RATE, 60, 0.3);
    for (int i = 0; i < x.length; i++) {
      x[i] = Math.max(-0.15f, Math.min(0.15f, x[i]));
    }
    Faults faults = Faults.of(Clip.of(RATE, x));
    assertTrue(faults.clippedTops() > 50, faults.toString());
    assertEquals(0, faults.dropouts());
  }

  @Test
  void dcIsTheMean() {
    float[] x = sine(RATE, 480, 0.3);
    for (int i = 0; i < x.length; i++) {
      x[i] -= 0.01f;
    }
    assertEquals(-0.01, Faults.of(Clip.of(RATE, x)).dc(), 1e-5);
    SampleFacts facts =
        Analyse.apply(
            Clip.of(RATE, x), new AnalyseSettings(false, 440, AnalyseSettings.Detail.CHARACTER));
    assertEquals(Set.of(Flag.DC), facts.flags());
  }

  /** A copy has 1 wherever it starts; two stretches of one note, or two notes, far less. */
  @Test
  void copiesAreAlikeAndPerformancesAreNot() {
    List<Recordings.Note> notes = Recordings.of("violin");
    for (int n = 0; n < notes.size(); n += 3) {
      Clip clip = notes.get(n).read(6);
      float[] x = clip.mono();
      float[] y = new float[x.length];
      for (int i = 1234; i < y.length; i++) {
        y[i] = Math.round(-0.3f * x[i - 1234] * 32767) / 32768f;
      }
      CrossCorrelation copy = CrossCorrelation.of(clip, Clip.of(clip.sampleRate(), y));
      assertTrue(copy.copy(), notes.get(n).name() + copy);
      assertEquals(1234, copy.shiftFrames());
      assertEquals(20 * Math.log10(0.3), copy.gainDb(), 0.02);
      CrossCorrelation halves =
          CrossCorrelation.of(clip.slice(0, x.length / 2), clip.slice(x.length / 2, x.length));
      assertFalse(halves.correlation() > 0.95, notes.get(n).name() + halves);
    }
    assertEquals(
        0,
        CrossCorrelation.of(Clip.of(RATE, new float[9]), Clip.of(RATE, new float[9]))
            .correlation());
  }
}
