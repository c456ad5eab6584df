package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;

/** Loops of made notes, of which it is known what a loop must keep. The notes are invented. */
class LoopSearchTest {
  private static final int RATE = 44100;
  private static final LoopSettings LOW_STRING = LoopSettings.of(82.4);

  /** A note of ten partials; cents and level in dB by time in seconds. */
  private static Clip note(
      double hz, double seconds, DoubleUnaryOperator cents, DoubleUnaryOperator db) {
    float[] x = new float[(int) (seconds * RATE)];
    Random random = new Random(7);
    double phase = 0;
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      phase += 2 * Math.PI * hz * Math.pow(2, cents.applyAsDouble(t) / 1200) / RATE;
      double sum = 0;
      for (int k = 1; k <= 10 && k * hz < 0.45 * RATE; k++) {
        sum += Math.sin(k * phase) / k;
      }
      double ends = Math.min(1, Math.min(t / 0.05, (seconds - t) / 0.1));
      x[i] =
          (float)
              (ends
                  * Math.pow(10, db.applyAsDouble(t) / 20)
                  * (0.2 * sum + 0.001 * random.nextGaussian()));
    }
    return Clip.of(RATE, x);
  }

  @ParameterizedTest
  @CsvSource({"196, 5, 15", "440, 6, 30", "880, 5.5, 25", "1760, 6, 20"})
  void aLoopHoldsWholeCyclesOfTheVibrato(double hz, double rate, double depth) {
    Clip note = note(hz, 4, t -> depth * Math.sin(2 * Math.PI * rate * t), t -> 0);
    LoopResult result = LoopSearch.apply(note, LoopSettings.of(hz));
    assertNotNull(result.loop(), String.valueOf(result));
    double cycles = result.loop().length() * rate / RATE;
    assertEquals(Math.rint(cycles), cycles, 0.05);
    double mean =
        new PhaseTrack(note.mono(), RATE, hz).cents(result.loop().start(), result.loop().end() + 1);
    assertEquals(0, mean, 1);
  }

  @Test
  void aLoopOfAStillToneIsWholePeriods() {
    double hz = 330.5;
    LoopResult result = LoopSearch.apply(note(hz, 3, t -> 0, t -> 0), LoopSettings.of(hz));
    assertNull(result.fault());
    double periods = result.loop().length() * hz / RATE;
    assertEquals(Math.rint(periods), periods, 0.01);
  }

  @Test
  void aNoteThatDiesAwayHasNone() {
    LoopResult result = LoopSearch.apply(note(440, 4, t -> 0, t -> -15 * t), LoopSettings.of(440));
    assertNull(result.loop());
    assertEquals(LoopFault.UNSTEADY, result.fault());
  }

  /**
   * A guitar's low string falls by about 2.5 dB a second and stays within the range of a held note
   * for two seconds; a loop there can only be fair, and adds a pulse to a note that dies anyway. A
   * note that swells as slowly is held by its player, and may have a fair one. Common practice.
   */
  @Test
  void aStringThatDiesSlowlyHasNoFairLoop() {
    LoopResult plucked = LoopSearch.apply(note(82.4, 5, t -> 0, t -> -2.5 * t), LOW_STRING);
    assertNull(plucked.loop());
    assertEquals(LoopFault.LEVEL, plucked.fault());
    LoopResult swelling = LoopSearch.apply(note(82.4, 5, t -> 0, t -> 2.5 * t - 10), LOW_STRING);
    assertNotNull(swelling.loop());
    assertEquals(LoopFault.LEVEL, swelling.fault());
  }

  @Test
  void aShortNoteHasNone() {
    LoopResult result = LoopSearch.apply(note(440, 0.5, t -> 0, t -> 0), LoopSettings.of(440));
    assertNull(result.loop());
    assertEquals(LoopFault.SHORT, result.fault());
  }

  /** A burst of hiss, as a bow that catches makes it, must not come back each time round. */
  @Test
  void noEndLiesOnATick() {
    Clip note = note(440, 3, t -> 0, t -> 0);
    float[] x = note.channel(0);
    Random random = new Random(3);
    for (int at = RATE / 2; at < 2.5 * RATE; at += RATE / 5) {
      for (int i = 0; i < 200; i++) {
        x[at + i] += (float) (0.02 * random.nextGaussian());
      }
    }
    Loop loop = LoopSearch.apply(note, LoopSettings.of(440)).loop();
    Ticks ticks = new Ticks(x, RATE);
    assertTrue(ticks.excessDb(loop.start()) < 3 && ticks.excessDb(loop.end()) < 3);
  }
}
