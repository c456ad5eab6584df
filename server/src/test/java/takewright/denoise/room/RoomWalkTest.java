package takewright.denoise.room;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Which of the steps of a room's level are leaps of the whole room. */
class RoomWalkTest {
  private static final int BANDS = 26;
  private static final int KNOTS = 40;
  private static final int RATE = 48_000;

  /** Pauses lie this far apart, in seconds. */
  private static final int APART_S = 10;

  /** What the mean over a pause is off by chance, in dB. */
  private static final double CHANCE_DB = 0.5;

  /**
   * A walk of a room that stands still but for chance.
   *
   * @param leapAt the knot before which all bands fall
   * @param leapDb by how much they do
   * @param swinging bands that lie up to 35 dB higher in some pauses, as the lowest partials of a
   *     string do that rings into them
   */
  private static RoomWalk walk(int leapAt, double leapDb, int swinging, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    long[] at = new long[KNOTS];
    float[][] level = new float[KNOTS][BANDS];
    float[][] noise = new float[KNOTS][BANDS];
    for (int i = 0; i < KNOTS; i++) {
      at[i] = (long) i * APART_S * RATE;
      for (int b = 0; b < BANDS; b++) {
        double swing = b < swinging ? random.nextDouble(0, 35) : 0;
        double fallen = i < leapAt ? 0 : -leapDb;
        level[i][b] = (float) (-60 + fallen + swing + CHANCE_DB * random.nextDouble(-1, 1));
        noise[i][b] = (float) (CHANCE_DB * CHANCE_DB / 3);
      }
    }
    return RoomWalk.of(at, level, noise);
  }

  @ParameterizedTest
  @ValueSource(ints = {0, 1, 4})
  void aFanThatGoesOffIsALeapWhateverRingsInAFewBands(int swinging) {
    RoomWalk walk = walk(20, 12, swinging, 3);
    for (int i = 0; i + 1 < KNOTS; i++) {
      assertEquals(i == 19 ? -12 : 0, walk.leap()[i], 1, "from knot " + i);
    }
  }

  @Test
  void aRoomThatStandsStillDoesNotLeap() {
    for (int seed = 0; seed < 50; seed++) {
      for (float leap : walk(20, 0, 4, seed).leap()) {
        assertEquals(0, leap);
      }
    }
  }
}
