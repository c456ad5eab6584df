package takewright.denoise;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;

/** Thumps of a room in the pauses between notes, and what sounds there and is no thump. */
class ClatterTest {
  private static final int RATE = 48000;
  private static final int FRAMES = 48 * RATE;
  private static final int FIRST = 3 * RATE;

  /** Length of a thump: a twentieth of a second. */
  private static final int LENGTH = RATE / 20;

  /** Notes of a second and ten harmonics with pauses between; all invented. */
  private static float[] notes(int every) {
    float[] x = new float[FRAMES];
    for (int at = FIRST; at + 2 * RATE < FRAMES; at += every) {
      for (int i = 0; i < RATE; i++) {
        double edge = Math.min(1, Math.min(i, RATE - i) / 960.0);
        double sum = 0;
        for (int h = 1; h <= 10; h++) {
          sum += Math.sin(2 * Math.PI * h * 196 * i / RATE + h * h) / h;
        }
        x[at + i] = (float) (0.08 * edge * sum);
      }
    }
    return x;
  }

  private static float[] cleaned(float[] x) {
    return Denoise.apply(Clip.of(RATE, x), DenoiseSettings.DEFAULTS).audio().channel(0);
  }

  /** Checks that cleaning lowers the level of each stretch by a number of dB within two limits. */
  private static void assertLowered(
      float[] x, List<Integer> starts, int length, double least, double most) {
    float[] y = cleaned(x);
    for (int start : starts) {
      double lowered =
          Noise.level(x, start, start + length) - Noise.level(y, start, start + length);
      assertTrue(least <= lowered && lowered <= most, "lowered by " + lowered + " dB");
    }
  }

  /**
   * In the shorter pause the long frames of the two notes meet, in the longer one a thump is alone
   * and plain to see. Both were kept as if they were played (lowered by 2.7 and 0.4 dB, measured
   * here). A sound that stands 30 dB above the room is one, however short.
   */
  @ParameterizedTest
  @CsvSource({"0.55, 0.0082, 20, 25", "0.7, 0.021, 20, 25", "0.7, 0.0537, 0, 1"})
  void aThumpBetweenTwoNotesIsNotPlayed(double pause, double peak, double least, double most) {
    int every = (int) ((1 + pause) * RATE);
    float[] x = Noise.sum(notes(every), Noise.pink(FRAMES, -52, 12));
    List<Integer> starts = new ArrayList<>();
    for (int at = FIRST + 2 * every; at + 2 * RATE < FRAMES; at += 3 * every) {
      int start = at + RATE + (int) (pause / 2 * RATE) - LENGTH / 2;
      starts.add(start);
      for (int j = 0; j < LENGTH; j++) {
        double edge = Math.pow(Math.sin(Math.PI * j / LENGTH), 2);
        x[start + j] += (float) (peak * edge * Math.sin(2 * Math.PI * 300 * j / RATE));
      }
    }
    assertLowered(x, starts, LENGTH, least, most);
  }

  /**
   * What rumbles for a quarter of a second and is over 0.3 s before a note is not its attack (it
   * was lowered by 2.2 dB, measured here). At 2.6 times the amplitude it is a note of its own.
   */
  @ParameterizedTest
  @CsvSource({"0.0082, 20, 25", "0.021, 0, 1"})
  void whatRumblesBeforeANoteIsNotItsAttack(double peak, double least, double most) {
    int every = (int) (2.2 * RATE);
    int length = RATE / 4;
    float[] x = Noise.sum(notes(every), Noise.pink(FRAMES, -52, 12));
    List<Integer> starts = new ArrayList<>();
    for (int at = FIRST + 2 * every; at + 2 * RATE < FRAMES; at += 3 * every) {
      int start = at - (int) (0.3 * RATE) - length;
      starts.add(start);
      for (int j = 0; j < length; j++) {
        double edge = 0.6 - 0.4 * Math.cos(6 * Math.PI * j / length);
        x[start + j] += (float) (peak * edge * Math.sin(2 * Math.PI * 300 * j / RATE));
      }
    }
    assertLowered(x, starts, length, least, most);
  }

  /**
   * A partial that short frames cannot tell from the room rings from one note in three to the next,
   * as that of a string does.
   */
  @Test
  void aFaintTailSoundsOnUntilTheNextNote() {
    int every = (int) (1.55 * RATE);
    float[] clean = notes(every);
    for (int at = FIRST; at + 2 * RATE < FRAMES; at += 3 * every) {
      for (int i = 0; i < every - RATE; i++) {
        double fade = Math.exp(-0.5 * i / RATE) * Math.min(1, i / 480.0);
        clean[at + RATE + i] = (float) (0.002 * fade * Math.sin(2 * Math.PI * 1500 * i / RATE));
      }
    }
    float[] y = cleaned(Noise.sum(clean, Noise.pink(FRAMES, -52, 12)));
    for (int at = FIRST; at + 2 * RATE < FRAMES; at += 3 * every) {
      int from = at + 13 * RATE / 10;
      int to = at + 15 * RATE / 10;
      double along = 0;
      double whole = 0;
      for (int i = from; i < to; i++) {
        along += y[i] * clean[i];
        whole += clean[i] * clean[i];
      }
      assertEquals(0, 20 * Math.log10(along / whole), 3, "dB");
    }
  }
}
