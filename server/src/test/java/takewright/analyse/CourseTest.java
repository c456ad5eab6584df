package takewright.analyse;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.function.DoubleUnaryOperator;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.DoubleRange;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.pitch.Pitch;
import takewright.testing.Recordings;

/** How pitches go and which sound at once, of synthetic sounds whose values are known. */
class CourseTest {
  private static final int RATE = 48_000;
  private static final AnalyseSettings FULL =
      new AnalyseSettings(false, 440, AnalyseSettings.Detail.FULL);

  /** Eight partials falling by 1/n on a pitch that goes as {@code cents} says over the seconds. */
  private static float[] tone(int rate, double seconds, double hz, DoubleUnaryOperator cents) {
    float[] x = new float[(int) (seconds * rate)];
    double phase = 0;
    for (int i = 0; i < x.length; i++) {
      double f = hz * Math.pow(2, cents.applyAsDouble((double) i / rate) / 1200);
      phase += f / rate;
      double s = 0;
      for (int h = 1; h <= 8 && h * f < 0.45 * rate; h++) {
        s += Math.sin(2 * Math.PI * h * phase) / h;
      }
      double t = (double) i / rate;
      x[i] = (float) (0.1 * s * Math.min(1, Math.min(50 * t, 20 * (seconds - t))));
    }
    return x;
  }

  private static SampleFacts facts(float[] x) {
    return Analyse.apply(Clip.of(RATE, x), FULL);
  }

  // The bounds below are measured, not laws: the seeds are fixed, so that each run tries the same.

  /** Rate within 2 %, swing within 6 % and half a cent, and the vibrato hides no drift. */
  @Property(tries = 25, seed = "20261125")
  void vibratoAndDriftAreMeasured(
      @ForAll @IntRange(min = 36, max = 96) int midi,
      @ForAll @DoubleRange(min = 4, max = 8) double rate,
      @ForAll @DoubleRange(min = 8, max = 60) double swing,
      @ForAll @DoubleRange(min = -30, max = 30) double drift) {
    double hz = 440 * Math.pow(2, (midi - 69) / 12.0);
    SampleFacts facts =
        facts(
            tone(
                RATE,
                3,
                hz,
                t -> drift * (t / 3 - 0.5) + swing * Math.sin(2 * Math.PI * rate * t)));
    assertEquals(rate, facts.course().vibratoHz(), 0.02 * rate);
    assertEquals(swing, facts.course().vibratoCents(), 0.06 * swing + 0.5);
    assertEquals(drift, facts.course().driftCents(), 3 + 0.1 * swing);
    assertFalse(facts.course().glides());
    assertEquals(midi, facts.pitch().midi());
    // At low notes a window is a good part of the vibrato's period, and hears it unevenly.
    assertEquals(0, facts.pitch().cents(), 2 + 0.2 * swing);
    // A sine's, and that of a line from end to end.
    double deviation = Math.sqrt(swing * swing / 2 + drift * drift / 12);
    assertEquals(deviation, facts.course().deviationCents(), 0.15 * deviation + 1);
  }

  @Test
  void aSteadyToneHasNoVibratoAndNoDrift() {
    Course course = facts(tone(RATE, 3, 196, t -> 0)).course();
    assertTrue(Double.isNaN(course.vibratoHz()));
    assertEquals(0, course.driftCents(), 0.2);
    assertEquals(0, course.deviationCents(), 1);
    assertEquals(1, course.voiced(), 0.03);
  }

  /** From and to within 20 cents, with a third of the time at rest at either end. */
  @ParameterizedTest
  @CsvSource({
    "110, 200",
    "110, -500",
    "220, 700",
    "440, 1200",
    "880, -1200",
    "1760, -300",
    "220, -90"
  })
  void glidesAreMeasured(double hz, double cents) {
    float[] x = tone(RATE, 2.4, hz, t -> cents * Math.max(0, Math.min(1, (t - 0.8) / 0.8)));
    Course course = facts(x).course();
    assertTrue(course.glides());
    assertEquals(0, 1200 * Math.log(course.glideFromHz() / hz) / Math.log(2), 20);
    assertEquals(cents, 1200 * Math.log(course.glideToHz() / hz) / Math.log(2), 20);
  }

  /** Chords of equal temperament, their notes equally loud or up to 6 dB apart. */
  @ParameterizedTest
  @ValueSource(
      strings = {
        "55 62",
        "60 64",
        "60 63",
        "57 58",
        "62 69",
        "67 76",
        "48 55",
        "45 52 60",
        "60 64 67",
        "60 63 66",
        "60 61 62",
        "64 69 73",
        "72 79 88",
        "43 50 59"
      })
  void clustersAndDoubleStopsAreHeard(String notes) {
    List<Integer> expected = Arrays.stream(notes.split(" ")).map(Integer::valueOf).toList();
    for (double step : new double[] {1, 0.7}) {
      float[] x = new float[2 * RATE];
      double gain = 1;
      for (int midi : expected) {
        float[] one = tone(RATE, 2, 440 * Math.pow(2, (midi - 69) / 12.0), t -> 0);
        for (int i = 0; i < x.length; i++) {
          x[i] += (float) (gain * one[i]);
        }
        gain *= step;
      }
      SampleFacts facts = facts(x);
      assertEquals(
          expected, facts.pitches().stream().map(Pitch::midi).toList(), notes + " by " + step);
      for (Pitch pitch : facts.pitches()) {
        assertEquals(0, pitch.cents(), 8, notes);
      }
      assertTrue(facts.flags().contains(Flag.SEVERAL_PITCHES));
    }
  }

  /** Every recording is one note, steady in place, and none glides. */
  @ParameterizedTest
  @ValueSource(strings = {"violin", "contrabass", "saxophone"})
  void recordingsOfOneNoteAreOneNote(String instrument) {
    List<String> wrong = new ArrayList<>();
    for (Recordings.Note note : Recordings.of(instrument)) {
      SampleFacts facts = Analyse.apply(note.read(3), FULL);
      if (facts.pitches().size() != 1 || facts.course() == null || facts.course().glides()) {
        wrong.add(note.name() + " " + facts);
      }
    }
    assertEquals(List.of(), wrong);
  }

  /** 16 Hz to 8 kHz or a quarter of the rate, at every usual rate; eight partials, or a sine. */
  @Property(tries = 40, seed = "20261125")
  void thePitchesOfAllRatesAreHeard(
      @ForAll @IntRange(min = 12, max = 119) int midi,
      @ForAll("rates") int rate,
      @ForAll boolean sine) {
    double hz = 440 * Math.pow(2, (midi - 69) / 12.0);
    net.jqwik.api.Assume.that(hz <= rate / 4.0);
    float[] x = tone(rate, 1, hz, t -> 0);
    if (sine) {
      for (int i = 0; i < x.length; i++) {
        x[i] = (float) (0.1 * Math.sin(2 * Math.PI * hz * i / rate));
      }
    }
    Pitch heard = Analyse.pitch(Clip.of(rate, x), 440);
    assertEquals(midi, heard.midi(), hz + " Hz at " + rate);
    assertEquals(0, heard.cents(), midi > 108 || midi < 24 ? 2 : 1);
  }

  @net.jqwik.api.Provide
  net.jqwik.api.Arbitrary<Integer> rates() {
    return net.jqwik.api.Arbitraries.of(22_050, 32_000, 44_100, 48_000, 88_200, 96_000, 192_000);
  }

  @Test
  void noiseHasNoCourseAndNoPitches() {
    SplittableRandom random = new SplittableRandom(3);
    float[] x = new float[2 * RATE];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.2 * (random.nextDouble() - 0.5));
    }
    SampleFacts facts = facts(x);
    assertEquals(null, facts.pitch());
    assertEquals(List.of(), facts.pitches());
    assertEquals(Set.of(Flag.NO_PITCH), facts.flags());
    assertEquals(1, facts.timbre().noisiness());
  }
}
