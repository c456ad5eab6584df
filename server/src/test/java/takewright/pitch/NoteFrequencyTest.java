package takewright.pitch;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.testing.Recordings;

/** What is heard of notes that sound for a quarter of a second. */
class NoteFrequencyTest {
  private static final int RATE = 48_000;

  private static double cents(double hz, double than) {
    return 1200 * Math.log(hz / than) / Math.log(2);
  }

  /** A tone of six partials whose pitch, in cents over 330 Hz, follows a course over time. */
  private static float[] tone(double seconds, java.util.function.DoubleUnaryOperator course) {
    float[] tone = new float[(int) (seconds * RATE)];
    double phase = 0;
    for (int i = 0; i < tone.length; i++) {
      double t = (double) i / RATE;
      phase += 2 * Math.PI * 330 * Math.pow(2, course.applyAsDouble(t) / 1200) / RATE;
      double fade = Math.min(1, Math.min(t / 0.01, (seconds - t) / 0.02));
      for (int h = 1; h <= 6; h++) {
        tone[i] += (float) (0.1 * fade / h * Math.sin(h * phase));
      }
    }
    return tone;
  }

  @Test
  void theGlideOfTheAttackIsLeftOut() {
    double glide = 60;
    float[] note = tone(0.3, t -> -glide * Math.exp(-t / 0.015));
    NoteFrequency heard = NoteFrequency.of(note, RATE, 330);
    assertEquals(0, cents(heard.hz(), 330), 1, "cents");
    assertTrue(heard.uncertaintyCents() < 2, "uncertain by " + heard.uncertaintyCents());
  }

  /**
   * Listeners take a short note to be nearer to its end than to its middle (d'Alessandro and
   * Castellengo, JASA 95(3), 1994): of one that rises by 40 cents they name more than 20.
   */
  @Test
  void theEndOfAShortNoteCountsMore() {
    float[] note = tone(0.25, t -> 160 * t);
    double heard = cents(NoteFrequency.of(note, RATE, 330).hz(), 330);
    assertTrue(heard > 21 && heard < 34, heard + " cents");
  }

  /** How far the pitch moves within the note, and how much noise there is, is what is uncertain. */
  @Test
  void whatMovesOrIsNoisyIsUncertain() {
    double steady = NoteFrequency.of(tone(0.25, t -> 0), RATE, 330).uncertaintyCents();
    float[] swinging = tone(0.25, t -> 25 * Math.sin(2 * Math.PI * 6 * t));
    float[] noisy = tone(0.25, t -> 0);
    SplittableRandom random = new SplittableRandom(7);
    for (int i = 0; i < noisy.length; i++) {
      noisy[i] += (float) (0.25 * random.nextGaussian());
    }
    double swing = NoteFrequency.of(swinging, RATE, 330).uncertaintyCents();
    double noise = NoteFrequency.of(noisy, RATE, 330).uncertaintyCents();
    assertTrue(
        steady < 0.5 && swing > 5 * steady && noise > 2 * steady,
        steady + " " + swing + " " + noise);
  }

  /**
   * The room behind a note says nothing of its pitch: the same note with none, with half a second
   * and with two seconds of room behind it, 30 dB below its peak, is heard alike.
   */
  @Test
  void theRoomBehindAShortNoteChangesNothing() {
    for (String instrument : List.of("violin", "contrabass", "saxophone")) {
      for (Recordings.Note note : Recordings.of(instrument)) {
        Clip clip = note.read(0.3);
        int rate = clip.sampleRate();
        double hz = 440 * Math.pow(2, (note.midi() - 69) / 12.0);
        double tight = cents(inRoom(clip.mono(), rate, 0.05, hz), hz);
        for (double behind : new double[] {0.5, 2}) {
          double heard = cents(inRoom(clip.mono(), rate, behind, hz), hz);
          String what = instrument + " " + note.midi() + " before " + behind + " s of room";
          assertEquals(tight, heard, 1, what);
        }
      }
    }
  }

  /** A staccato of a recording in front of so many seconds of room. */
  private static double inRoom(float[] note, int rate, double seconds, double hz) {
    float[] region = Arrays.copyOf(note, note.length + (int) (seconds * rate));
    double peak = 0;
    for (int i = 0; i < note.length; i++) {
      double left = (note.length - i) / (0.02 * rate);
      region[i] *= (float) (Math.exp(-i / (0.12 * rate)) * Math.min(1, left));
      peak = Math.max(peak, Math.abs(region[i]));
    }
    SplittableRandom random = new SplittableRandom(5);
    for (int i = 0; i < region.length; i++) {
      region[i] += (float) (0.03 * peak * random.nextGaussian());
    }
    return NoteFrequency.of(region, rate, hz).hz();
  }

  /** A long note is more certain than a short one, however it swings. */
  @Test
  void aHeldVibratoIsMoreCertainThanAShortOne() {
    double held =
        NoteFrequency.of(tone(3, t -> 25 * Math.sin(2 * Math.PI * 6 * t)), RATE, 330)
            .uncertaintyCents();
    double brief =
        NoteFrequency.of(tone(0.25, t -> 25 * Math.sin(2 * Math.PI * 6 * t)), RATE, 330)
            .uncertaintyCents();
    assertTrue(held < 0.6 * brief, held + " against " + brief);
  }

  @Test
  void noiseAndSilenceAreNotHeard() {
    assertFalse(NoteFrequency.of(new float[RATE / 4], RATE, 330).isHeard());
  }

  /**
   * What noise adds is within what is stated: of quarter seconds out of the recordings in noise,
   * against the same quarter second without, more than half lie within one standard deviation and
   * 17 of 20 within two.
   */
  @Test
  void whatNoiseAddsIsMostlyWithinTheStatedUncertainty() {
    List<Double> errors = new ArrayList<>();
    SplittableRandom random = new SplittableRandom(11);
    for (String instrument : List.of("violin", "contrabass", "saxophone")) {
      for (Recordings.Note note : Recordings.of(instrument)) {
        Clip clip = note.read(0.3);
        double hz = 440 * Math.pow(2, (note.midi() - 69) / 12.0);
        float[] quiet = clip.mono();
        double power = 0;
        for (float x : quiet) {
          power += x * x / quiet.length;
        }
        float[] noisy = quiet.clone();
        for (int i = 0; i < noisy.length; i++) {
          noisy[i] += (float) (0.1 * Math.sqrt(power) * random.nextGaussian());
        }
        NoteFrequency clean = NoteFrequency.of(quiet, clip.sampleRate(), hz);
        NoteFrequency heard = NoteFrequency.of(noisy, clip.sampleRate(), hz);
        errors.add(Math.abs(cents(heard.hz(), clean.hz())) / heard.uncertaintyCents());
      }
    }
    long one = errors.stream().filter(e -> e <= 1).count();
    long two = errors.stream().filter(e -> e <= 2).count();
    String found = one + " and " + two + " of " + errors.size();
    assertTrue(one >= 0.55 * errors.size() && two >= 0.85 * errors.size(), found);
  }
}
