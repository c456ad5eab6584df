package takewright.segment.flaw;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** What is laid over computed notes of a quarter of a second is measured as loud as it was made. */
class ShortNoteTest {
  private static final int RATE = 48_000;
  private static final int FROM = RATE / 10;
  private static final int LENGTH = RATE / 4;
  private static final int TO = FROM + 2 * LENGTH;

  /** Fifteen partials for a quarter of a second, then silence, between silences. */
  private static float[] note(double hz) {
    float[] x = new float[TO + FROM];
    for (int i = 0; i < LENGTH; i++) {
      double t = (double) i / RATE;
      double loud = 0.1 * Math.min(1, Math.min(t / 0.01, (0.25 - t) / 0.02));
      for (int k = 1; k <= 15; k++) {
        x[FROM + i] += (float) (loud / k * Math.sin(2 * Math.PI * k * hz * t + k * k));
      }
    }
    return x;
  }

  private static ShortNote of(float[] x, double hz) {
    return ShortNote.of(x, FROM, TO, RATE, hz, 0);
  }

  private static double power(float[] x, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += x[i] * x[i];
    }
    return sum / (to - from);
  }

  @ParameterizedTest
  @ValueSource(doubles = {98.3, 196, 440.7, 659.3})
  void aCleanNoteHasNextToNothing(double hz) {
    ShortNote clean = of(note(hz), hz);
    assertTrue(clean.harshDb() < -35, clean.toString());
    assertTrue(clean.burstDb() < 5, clean.toString());
    assertTrue(clean.againDb() < 5, clean.toString());
  }

  /** Sines that have nothing to do with the note over all of it; the band's edges take off 3 dB. */
  @ParameterizedTest
  @ValueSource(doubles = {-24, -18, -12})
  void whatIsHarshIsMeasured(double db) {
    float[] x = note(440);
    double level = power(x, FROM + LENGTH / 4, FROM + LENGTH / 2);
    double each = Math.sqrt(2 * level * Math.pow(10, db / 10) / 200);
    SplittableRandom random = new SplittableRandom(9);
    for (int k = 0; k < 200; k++) {
      double hz = 3600 + 2400 * random.nextDouble();
      double phase = 2 * Math.PI * random.nextDouble();
      for (int i = 0; i < LENGTH; i++) {
        x[FROM + i] += (float) (each * Math.sin(2 * Math.PI * hz * i / RATE + phase));
      }
    }
    assertEquals(db - 3, of(x, 440).harshDb(), 1.5);
  }

  /** A click of 2 kHz in the middle of a note, and one behind it. */
  @ParameterizedTest
  @ValueSource(doubles = {0.12, 0.37})
  void aKnockIsMeasured(double at) {
    float[] x = note(440);
    for (int i = 0; i < RATE / 100; i++) {
      double loud = 0.1 * Math.exp(-i / (0.002 * RATE));
      x[FROM + (int) (at * RATE) + i] += (float) (loud * Math.sin(2 * Math.PI * 2070 * i / RATE));
    }
    ShortNote knocked = of(x, 440);
    assertEquals(at < 0.25, knocked.burstDb() > 10, knocked.toString());
    assertEquals(at > 0.25, knocked.againDb() > 20, knocked.toString());
  }

  /** What comes behind a note is no knock where the room comes within 12 dB of that by itself. */
  @Test
  void aRoomThatStirsIsNoKnock() {
    float[] x = note(440);
    int at = FROM + (int) (0.37 * RATE);
    for (int i = 0; i < RATE / 100; i++) {
      x[at + i] += (float) (0.01 * Math.sin(2 * Math.PI * 400 * i / RATE));
    }
    double stirs = power(x, at, at + RATE / 100);
    assertEquals(0, ShortNote.of(x, FROM, TO, RATE, 440, stirs / 16).againDb());
    assertTrue(ShortNote.of(x, FROM, TO, RATE, 440, stirs / 64).againDb() > 20);
  }
}
