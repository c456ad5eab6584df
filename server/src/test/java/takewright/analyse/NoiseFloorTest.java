package takewright.analyse;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class NoiseFloorTest {
  /** White noise of a known level under a tone that stops for a while. */
  @ParameterizedTest
  @CsvSource({"48000, 5", "44100, 5", "96000, 1.2", "48000, 0.8"})
  void theRoomBetweenTheNotesIsMeasured(int rate, double seconds) {
    float[] samples = noise(rate, seconds, -60);
    int pause = (int) (0.5 * rate);
    for (int i = 0; i < samples.length; i++) {
      if (i < samples.length / 4 || i > samples.length / 4 + pause) {
        samples[i] += (float) (0.3 * Math.sin(0.05 * i));
      }
    }
    assertEquals(-60, floor(rate, samples), 0.4);
  }

  @Test
  void digitalSilenceIsNotTheRoom() {
    float[] samples = noise(48_000, 4, -60);
    Arrays.fill(samples, 40_000, 90_000, 0);
    assertEquals(-60, floor(48_000, samples), 0.4);
  }

  @Test
  void nothingButDigitalSilence() {
    assertEquals(-200, floor(48_000, new float[100_000]));
    assertEquals(-200, floor(48_000, new float[10]));
    assertEquals(-200, floor(48_000, new float[0]));
  }

  @Test
  void whatIsShorterThanAWindowIsMeasuredWhole() {
    float[] samples = Signals.tone(48_000, 1000, Signals.step(0.05, -20));
    assertEquals(-23.01, floor(48_000, samples), 0.01);
  }

  private static double floor(int rate, float[] samples) {
    NoiseFloor floor = new NoiseFloor(rate, 1);
    floor.feed(new float[][] {samples}, 0, samples.length);
    return floor.dbfs();
  }

  private static float[] noise(int rate, double seconds, double dbfs) {
    Random random = new Random(5);
    float[] samples = new float[(int) (rate * seconds)];
    for (int i = 0; i < samples.length; i++) {
      samples[i] = (float) (Math.pow(10, dbfs / 20) * random.nextGaussian());
    }
    return samples;
  }
}
