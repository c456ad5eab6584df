package takewright.denoise.room;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The pauses around a note under which a fan goes off; all of it invented. */
class TailFinderTest {
  private static final int BANDS = 6;
  private static final int HOP = 4096;

  /** A note of a double bass, from this frame to before that one. */
  private static final int NOTE = 20;

  private static final int TAIL = 30;

  /** Where the tail is no pause any more, and where the pause goes on. */
  private static final int NEITHER = 38;

  private static final int QUIET = 41;

  private static final int END = 61;

  /**
   * Nothing that a room does makes one band louder under a note and softer again in the pause after
   * it, while the other bands stay as they are. A band that stays loud is the room's, and so is all
   * that comes after a sound between the two.
   */
  @ParameterizedTest
  @CsvSource({
    "27, -12, false, true",
    "-12, -12, false, false",
    "27, 27, false, false",
    "27, -12, true, false"
  })
  void aBandThatRingsIntoAPauseIsNotTheRoom(
      float ring, float later, boolean sounds, boolean isTaken) {
    FrameLevels frames = new FrameLevels(BANDS);
    boolean[] pause = new boolean[END];
    float[] level = new float[BANDS];
    for (int i = 0; i < END; i++) {
      Arrays.fill(level, i < NOTE ? 0 : i < TAIL ? 40 : -12);
      level[1] = i < TAIL ? level[1] : i < NEITHER ? ring : later;
      boolean isNote = i >= NOTE && i < TAIL || sounds && i >= NEITHER && i < QUIET;
      pause[i] = i < NOTE || i >= TAIL && i < NEITHER || i >= QUIET;
      frames.add((long) i * HOP, level, new float[BANDS], isNote ? -20 : -45);
    }
    List<int[]> knots = new ArrayList<>();
    for (int i = 0; i < NOTE; i += 5) {
      knots.add(new int[] {i, 5});
    }
    knots.add(new int[] {TAIL, NEITHER - TAIL});
    for (int i = QUIET; i < END; i += 5) {
      knots.add(new int[] {i, 5});
    }
    boolean[] expected = pause.clone();
    Arrays.fill(expected, TAIL, NEITHER, !isTaken);
    new TailFinder(frames, knots, walk(frames, knots)).takeOut(pause);
    assertArrayEquals(expected, pause);
  }

  private static RoomWalk walk(FrameLevels frames, List<int[]> knots) {
    long[] at = new long[knots.size()];
    float[][] level = new float[at.length][BANDS];
    float[][] noise = new float[at.length][BANDS];
    for (int i = 0; i < at.length; i++) {
      at[i] = frames.at(knots.get(i)[0] + knots.get(i)[1] / 2);
      Arrays.fill(noise[i], 0.5f);
      for (int b = 0; b < BANDS; b++) {
        level[i][b] = frames.level(knots.get(i)[0], b);
      }
    }
    return RoomWalk.of(at, level, noise);
  }
}
