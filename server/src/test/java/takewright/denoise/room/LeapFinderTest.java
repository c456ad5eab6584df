package takewright.denoise.room;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.denoise.band.ThirdOctaves;

class LeapFinderTest {
  private static final int RATE = 48000;
  private static final int HOP = 4096;
  private static final int FRAMES = 60;

  /** Frames over which the room falls by {@link #FALL_DB}, or rises: a second. */
  private static final int FALLS = 12;

  private static final float FALL_DB = 12;
  private static final int BEGINS = 20;

  /** A note that hides the room begins a third of the way through, and ends with the fall. */
  private static final int NOTE = BEGINS + FALLS / 3;

  @ParameterizedTest
  @ValueSource(booleans = {true, false})
  void whatIsHeardOfAFallBeforeANoteHoldsUnderTheNote(boolean falls) {
    ThirdOctaves bands = new ThirdOctaves(4097);
    FrameLevels frames = new FrameLevels(bands.count());
    float[] level = new float[bands.count()];
    for (int i = 0; i < FRAMES; i++) {
      int at = falls ? i : FRAMES - 1 - i;
      boolean isNote = at >= NOTE && at < BEGINS + FALLS;
      Arrays.fill(level, isNote ? 40 : fall(at));
      frames.add((long) i * HOP, level, new float[bands.count()], isNote ? -20 : -50);
    }
    long[] at = {8 * HOP, 51 * HOP};
    float[][] levels = new float[2][bands.count()];
    Arrays.fill(levels[falls ? 1 : 0], -FALL_DB);
    float[] leap = {falls ? -FALL_DB : FALL_DB, 0};
    float[][] noise = new float[2][bands.count()];
    RoomWalk walk = new RoomWalk(at, levels, noise, new float[bands.count()], leap);
    float[] spread = new float[bands.count()];
    Leap found = new LeapFinder(frames, RATE, bands, spread).leaps(walk)[0];
    for (int i = NOTE; i < BEGINS + FALLS; i++) {
      int frame = falls ? i : FRAMES - 1 - i;
      double done = falls ? found.done(frame * HOP) : 1 - found.done(frame * HOP);
      assertEquals(fall(i), -FALL_DB * done, 2, "frame " + frame + " of " + found);
    }
  }

  /** One frame is softer by chance, as deep as a fall, but the room alone is heard after it. */
  @Test
  void aFrameThatIsSoftByChanceIsNoFall() {
    ThirdOctaves bands = new ThirdOctaves(4097);
    FrameLevels frames = new FrameLevels(bands.count());
    float[] level = new float[bands.count()];
    for (int i = 0; i < FRAMES; i++) {
      Arrays.fill(level, i == BEGINS - 6 ? -3 : fall(i));
      frames.add((long) i * HOP, level, new float[bands.count()], -50);
    }
    float[][] levels = new float[2][bands.count()];
    Arrays.fill(levels[1], -FALL_DB);
    long[] at = {8 * HOP, 51 * HOP};
    float[] leap = {-FALL_DB, 0};
    float[][] noise = new float[2][bands.count()];
    RoomWalk walk = new RoomWalk(at, levels, noise, new float[bands.count()], leap);
    float[] spread = new float[bands.count()];
    Leap found = new LeapFinder(frames, RATE, bands, spread).leaps(walk)[0];
    assertEquals(BEGINS, (double) found.from() / HOP, 2);
  }

  /** The noise of a room in a band of eight bins, under a note, long before the fan goes off. */
  @Test
  void aBandOfFewBinsThatIsSoftUnderANoteIsNoFall() {
    ThirdOctaves bands = new ThirdOctaves(4097);
    FrameLevels frames = new FrameLevels(bands.count());
    float[] level = new float[bands.count()];
    for (int i = 0; i < FRAMES; i++) {
      boolean isNote = i >= BEGINS - 10 && i < BEGINS + FALLS;
      Arrays.fill(level, isNote ? 40 : fall(i));
      level[0] = i == BEGINS - 9 ? -13 : level[0];
      frames.add((long) i * HOP, level, new float[bands.count()], isNote ? -20 : -50);
    }
    float[][] levels = new float[2][bands.count()];
    Arrays.fill(levels[1], -FALL_DB);
    long[] at = {8 * HOP, 51 * HOP};
    float[] leap = {-FALL_DB, 0};
    RoomWalk walk =
        new RoomWalk(at, levels, new float[2][bands.count()], new float[bands.count()], leap);
    Leap found = new LeapFinder(frames, RATE, bands, new float[bands.count()]).leaps(walk)[0];
    assertTrue(found.from() >= BEGINS * HOP, found.toString());
  }

  /**
   * Power of noise in one bin is exponential, so a closed form tells how low its logarithm lies
   * once in 185,000 values; the expansion may be some per cent off so far out.
   */
  @Test
  void softValuesOfOneBinLieFurtherOffThanNormalOnes() {
    double once = 5.4e-6;
    double euler = 0.5772;
    double exact = (-Math.log(-Math.log(1 - once)) - euler) / Math.sqrt(Math.PI * Math.PI / 6);
    assertEquals(exact, LeapFinder.deviations(1), 0.1 * exact);
    assertEquals(4.4, LeapFinder.deviations(100_000), 0.05);
  }

  private static float fall(int frame) {
    return -FALL_DB * Math.max(0, Math.min(1, (float) (frame - BEGINS) / FALLS));
  }
}
