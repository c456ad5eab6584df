package takewright.denoise.gain;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
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
    ThirdOctaves bands = new ThirdOctaves(BINS);
    AttackFinder finder = new AttackFinder(RATE, BINS, SpreadFactors.none(bands.count()), bands);
    float[] noise = new float[BINS];
    Arrays.fill(noise, 8);
    finder.expect(noise);
    float[][] ring = new float[1][1 << 16];
    for (int i = 0; i < seconds * RATE; i++) {
      ring[0][RATE / 4 + i] = (float) (peak * Math.sin(2 * Math.PI * 1125 * i / RATE));
    }
    finder.find(ring, 0, RATE);
    assertEquals(isClatter, finder.isClatter());
    assertEquals(isNote, finder.isNote());
  }
}
