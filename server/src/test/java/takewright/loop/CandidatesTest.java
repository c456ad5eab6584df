package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;

/** Where loops may begin and end, in a computed note whose changes of bow are known. */
class CandidatesTest {
  private static final int RATE = 44_100;
  private static final double HZ = 440;

  /** Where the bow changes: the level dips by 12 dB for 50 ms. */
  private static final double[] CHANGES_S = {1.5, 2.7};

  /** The dip and the window in which it is heard. */
  private static final double NEAR_S = 0.05;

  private static float[] note() {
    float[] x = new float[4 * RATE];
    Random random = new Random(5);
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double level = Math.min(1, Math.min(t / 0.05, (4 - t) / 0.1));
      for (double change : CHANGES_S) {
        double off = Math.abs(t - change) / 0.05;
        level *= off < 1 ? 1 - 0.375 * (1 + Math.cos(Math.PI * off)) : 1;
      }
      double sum = 0;
      for (int k = 1; k <= 10; k++) {
        sum += Math.sin(2 * Math.PI * k * HZ * t) / k;
      }
      x[i] = (float) (level * (0.2 * sum + 0.001 * random.nextGaussian()));
    }
    return x;
  }

  /** With hardly a choice of lengths, some starts have no end but one at a change of bow. */
  @Test
  void noLoopBeginsOrEndsAtAChangeOfBow() {
    float[] x = note();
    NoteCourse course = new NoteCourse(x, RATE, HZ);
    LoopSettings settings = new LoopSettings(HZ, 0.6, 0.64, 0.12);
    List<LoopSearch.Pair> pairs =
        new Candidates(course, new Ticks(x, RATE), SteadyPart.of(course, RATE), settings, RATE)
            .find();
    assertFalse(pairs.isEmpty());
    for (LoopSearch.Pair pair : pairs) {
      for (double change : CHANGES_S) {
        assertTrue(Math.abs(pair.start() / (double) RATE - change) > NEAR_S, "begins: " + pair);
        assertTrue(Math.abs(pair.end() / (double) RATE - change) > NEAR_S, "ends: " + pair);
      }
    }
  }
}
