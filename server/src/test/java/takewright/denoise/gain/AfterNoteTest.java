package takewright.denoise.gain;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;

import java.util.Arrays;
import org.junit.jupiter.api.Test;
import takewright.denoise.band.RatioHistory;

/** Two parts of a spectrum, each of eight bins, between two notes; invented data. */
class AfterNoteTest {
  private static final int PART = 8;

  /** Power over that of the noise by frame, of which the first and the last hold a note. */
  private static final float[][] FRAMES = {
    {100, 100}, {1, 1}, {10, 1}, {3, 9}, {1, 1}, {1, 1}, {1, 1}, {100, 100}
  };

  /** While the first clatter falls a second one comes up; both are over before the next note. */
  @Test
  void aClatterStaysClosedWhileAnotherComesUp() {
    byte[][] expected = {{1, 1}, {0, 1}, {0, 0}};
    AfterNote after = new AfterNote(2 * PART);
    RatioHistory history = new RatioHistory(2 * PART);
    int ago = FRAMES.length - 2;
    for (int frame = 0; frame < FRAMES.length + 2; frame++) {
      float[] bins = new float[2 * PART];
      float[] parts = FRAMES[Math.min(frame, FRAMES.length - 1)];
      Arrays.fill(bins, 0, PART, parts[0]);
      Arrays.fill(bins, PART, 2 * PART, parts[1]);
      history.add(bins);
      int here = frame - ago;
      if (here == 0) {
        after.note();
      } else if (here > 0) {
        byte[] near = {1, 1};
        after.next(history, ago, ago + 1 - here, near);
        assertArrayEquals(expected[here - 1], near, "frame " + here);
      }
    }
  }
}
