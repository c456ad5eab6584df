package takewright.denoise.gain;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.denoise.band.SpreadFactors;
import takewright.denoise.band.ThirdOctaves;

/** A tone in a steady room, which the thresholds lie 12 dB above. */
class AttackFinderTest {
  private static final int RATE = 48000;
  private static final int BINS = 4097;

  /** The tone stands 5, 50 and 400 times above its threshold. */
  @ParameterizedTest
  @CsvSource({
    "0.035, 0.05, true, false",
    "0.11, 0.05, false, false",
    "0.32, 0.05, false, true",
    "0.035, 0.4, false, true"
  })
  void aClatterIsFaintAndSoonOver(double peak, double seconds, boolean isClatter, boolean isNote) {
    AttackFinder finder = finder();
    finder.find(with(tone(0.25, seconds, peak)), 0, RATE, 0);
    assertEquals(isClatter, finder.isClatter());
    assertEquals(isNote, finder.isNote());
  }

  /**
   * A faint sound of 0.3 s, then 0.1 s of quiet, then a note at 0.65 s whose power is 1,800 times
   * as high. Where long frames see a note while the faint sound goes on, that is its beginning;
   * where they see it later, the faint sound is over before.
   */
  @ParameterizedTest
  @CsvSource({"0, 0.25", "0.5, 0.25", "0.6, 0.65"})
  void whatLastsIsNoAttackWhereItIsOverBeforeANoteIsSeen(double seen, double attack) {
    float[][] ring = with(tone(0.25, 0.3, 0.035), tone(0.65, 0.3, 1.5));
    long found = finder().find(ring, 0, RATE, (long) (seen * RATE));
    assertEquals(attack, (double) found / RATE, 0.01);
  }

  /** A sound just above the room lies between a clatter and a note of 16 times its power. */
  @Test
  void aFaintSoundBetweenDoesNotTieAClatterToTheNote() {
    float[][] ring = with(tone(0.25, 0.05, 0.035), tone(0.4, 0.02, 0.02), tone(0.47, 0.3, 0.14));
    AttackFinder finder = finder();
    assertEquals(0.47, (double) finder.find(ring, 0, RATE, 0) / RATE, 0.01);
    assertTrue(finder.hasSkipped());
  }

  /** The first of two sounds before a note is no more than a tail that comes and goes. */
  @Test
  void theHighestOfAllBeforeTheAttackCounts() {
    AttackFinder finder = finder();
    float[][] tail = with(tone(0.2, 0.03, 0.02), tone(0.6, 0.3, 1.5));
    assertEquals(0.6, (double) finder.find(tail, 0, RATE, 0) / RATE, 0.01);
    assertFalse(finder.hasSkipped());
    float[][] more = with(tone(0.2, 0.03, 0.02), tone(0.4, 0.03, 0.027), tone(0.6, 0.3, 1.5));
    assertEquals(0.6, (double) finder.find(more, 0, RATE, 0) / RATE, 0.01);
    assertTrue(finder.hasSkipped());
  }

  private static AttackFinder finder() {
    ThirdOctaves bands = new ThirdOctaves(BINS);
    AttackFinder finder = new AttackFinder(RATE, BINS, SpreadFactors.none(bands.count()), bands);
    float[] noise = new float[BINS];
    Arrays.fill(noise, 8);
    finder.expect(noise);
    return finder;
  }

  /** Samples of a tone that fades in and out within 5 ms each. */
  private static float[] tone(double atS, double seconds, double peak) {
    float[] x = new float[1 << 16];
    int count = (int) (seconds * RATE);
    for (int i = 0; i < count; i++) {
      double edge = Math.min(1, Math.min(i, count - i) / (0.005 * RATE));
      x[(int) (atS * RATE) + i] = (float) (edge * peak * Math.sin(2 * Math.PI * 1125 * i / RATE));
    }
    return x;
  }

  private static float[][] with(float[]... sounds) {
    float[] sum = new float[sounds[0].length];
    for (float[] sound : sounds) {
      for (int i = 0; i < sum.length; i++) {
        sum[i] += sound[i];
      }
    }
    return new float[][] {sum};
  }
}
