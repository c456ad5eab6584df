package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;

/** Release times of computed tones, whose fall is known. */
class ReleaseTest {
  private static final int RATE = 48_000;

  /** A tone of a second, after which it falls by 60 dB in {@code seconds}. */
  private static Clip released(double seconds, double lengthS) {
    float[] x = new float[(int) (lengthS * RATE)];
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double db = -60 * Math.max(0, t - 1) / seconds;
      x[i] = (float) (0.3 * Math.pow(10, db / 20) * Math.sin(2 * Math.PI * 1000 * t));
    }
    return Clip.of(RATE, x);
  }

  /** ISO 3382-1: a fall by 60 dB, drawn on from what is heard of it. */
  @ParameterizedTest
  @ValueSource(doubles = {0.3, 1.2, 4})
  void theTimeIsThatOfAFallBySixtyDecibels(double seconds) {
    assertEquals(1000 * seconds, Release.ms(released(seconds, 1 + seconds)), 50 * seconds);
  }

  @Test
  void aSampleThatEndsBeforeItFallsHasNone() {
    assertTrue(Double.isNaN(Release.ms(released(4, 1.2))));
  }
}
