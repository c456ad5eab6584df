package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.dsp.Biquad;
import takewright.pitch.Kind;
import takewright.segment.Blemishes.Aperiodic;
import takewright.testing.TakeBuilder;

/**
 * What is laid over a note is measured in its band, in dB relative to the note: the levels are
 * those that the computed sounds were made with.
 */
class AperiodicityTest {
  private static final int RATE = 48_000;
  private static final double ROOM = -70;
  private static final double SECONDS = 3;

  /** Of a computed note, so many cents either way at 5.5 Hz. */
  private static float[] note(double hertz, double vibratoCents) {
    float[] x = new float[(int) (SECONDS * RATE)];
    double phase = 0;
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double cents = vibratoCents * Math.sin(2 * Math.PI * 5.5 * t);
      phase += 2 * Math.PI * hertz * Math.pow(2, cents / 1200) / RATE;
      double edge = Math.min(1, Math.min(t / 0.03, (SECONDS - t) / 0.1));
      for (int k = 1; k <= 10; k++) {
        x[i] += (float) (edge * 0.2 / k * Math.sin(k * phase + k));
      }
    }
    return x;
  }

  /** With a partial that is none of its own, as a bar's or a string's: it rises and dies away. */
  private static float[] struck(float[] note, double hz, double loud) {
    float[] x = note.clone();
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double edge = Math.min(1, t / 0.1) * Math.exp(-Math.max(0, t - 0.1) / 0.1);
      x[i] += (float) (loud * edge * Math.sin(2 * Math.PI * hz * t));
    }
    return x;
  }

  private static double power(float[] x, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += x[i] * x[i];
    }
    return sum / (to - from);
  }

  /** With 0.3 s of noise around a frequency that lies so far under the note, in dB, after 1 s. */
  private static float[] withNoise(float[] note, double hz, double db) {
    return withNoise(note, hz, db, 1);
  }

  private static float[] withNoise(float[] note, double hz, double db, double atS) {
    SplittableRandom random = new SplittableRandom(3);
    float[] noise = new float[(int) (0.3 * RATE)];
    for (int i = 0; i < noise.length; i++) {
      noise[i] = (float) (random.nextDouble() - 0.5);
    }
    for (int section = 0; section < 2; section++) {
      Biquad.bandPass(RATE, hz, 1.2).process(noise, 0, noise.length);
    }
    double wanted = power(note, RATE, 2 * RATE) * Math.pow(10, db / 10);
    double gain = Math.sqrt(wanted / power(noise, RATE / 20, noise.length));
    float[] x = note.clone();
    for (int i = 0; i < noise.length; i++) {
      x[(int) (atS * RATE) + i] += (float) (gain * noise[i]);
    }
    return x;
  }

  /** The same struck: it dies away by 60 dB within so long, in seconds. */
  private static float[] dyingAway(float[] note, double seconds) {
    float[] x = note.clone();
    for (int i = 0; i < x.length; i++) {
      x[i] *= (float) Math.pow(10, -3 * i / (seconds * RATE));
    }
    return x;
  }

  private static Aperiodic heard(float[] note) throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 3).pause(3);
    take.sound("note", 0, note, -9, ROOM).pause(2);
    List<Region> regions =
        Segment.apply(take.build(ROOM).source(), SegmentSettings.forKind(Kind.PITCHED)).regions();
    assertEquals(1, regions.size(), regions.toString());
    return regions.get(0).blemishes().aperiodic();
  }

  @Test
  void noiseOverANoteIsMeasuredInItsBand() throws IOException {
    for (double hertz : new double[] {82, 147, 330}) {
      for (double db : new double[] {-12, -24}) {
        Aperiodic low = heard(withNoise(note(hertz, 0), 300, db));
        Aperiodic middle = heard(withNoise(note(hertz, 0), 950, db));
        Aperiodic high = heard(withNoise(note(hertz, 0), 2100, db));
        String what = hertz + " Hz, " + db + " dB: " + low + middle + high;
        // Some of it lies outside of the band; the most within a column lies over the mean.
        assertEquals(db, low.low().mostDb(), 6, what);
        assertEquals(db, middle.middle().mostDb(), 6, what);
        assertEquals(db, high.high().mostDb(), 6, what);
        double all = db + 10 * Math.log10(0.3);
        assertEquals(all, low.low().allDbS(), 4.5, what);
        assertEquals(all, middle.middle().allDbS(), 4.5, what);
        assertEquals(all, high.high().allDbS(), 4.5, what);
        assertTrue(low.high().mostDb() < db - 5 && high.low().mostDb() < db - 5, what);
      }
    }
  }

  /** A low string scrapes and bends until it has come to its pitch; a high one has by then. */
  @Test
  void whatALowNoteBeginsWithIsItsOwn() throws IOException {
    Aperiodic low = heard(withNoise(note(46, 0), 950, -12, 0.02));
    Aperiodic high = heard(withNoise(note(330, 0), 950, -12, 0.02));
    assertTrue(low.middle().mostDb() < -25, "" + low);
    assertEquals(-12, high.middle().mostDb(), 6, "" + high);
  }

  /** However fast it dies away: its decay and the room behind it are no measure of its level. */
  @Test
  void noiseOverAStruckNoteIsMeasuredBesideTheStroke() throws IOException {
    float[] note = note(330, 0);
    float[] noisy = withNoise(note, 950, -24);
    for (double seconds : new double[] {1.5, 3, 6}) {
      float[] struck = dyingAway(note, seconds);
      for (int i = RATE; i < struck.length; i++) {
        struck[i - 4 * RATE / 5] += noisy[i] - note[i];
      }
      Aperiodic heard = heard(struck);
      String what = seconds + " s: " + heard;
      // The most within a column lies over the mean, as above.
      assertEquals(-24, heard.middle().mostDb(), 6, what);
    }
  }

  /** The pitch moves by some 800 cents a second, and each period is as the one before. */
  @Test
  void aSteadyNoteAndAVibratoHaveNothing() throws IOException {
    for (double hertz : new double[] {82, 147, 330, 740}) {
      for (double cents : new double[] {0, 25}) {
        Aperiodic clean = heard(note(hertz, cents));
        String what = hertz + " Hz, " + cents + " cents: " + clean;
        assertTrue(clean.low().mostDb() < -30, what);
        assertTrue(clean.middle().mostDb() < -30, what);
        assertTrue(clean.high().mostDb() < -25, what);
      }
    }
  }

  /** What rises with a note is its own; what comes up behind its attack is not. */
  @Test
  void whatRisesWithANoteAndDiesAwayIsItsOwn() throws IOException {
    float[] struck = struck(note(330, 0), 2090, 0.1);
    assertTrue(heard(struck).high().mostDb() < -30, "struck " + heard(struck));
    float[] late = note(330, 0);
    float[] stroke = struck(new float[late.length], 2090, 0.1);
    int shift = RATE / 5;
    for (int i = shift; i < late.length; i++) {
      late[i] += stroke[i - shift];
    }
    assertTrue(heard(late).high().mostDb() > -20, "late " + heard(late));
  }
}
