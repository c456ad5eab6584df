package takewright.denoise.room;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/** What is kept of a take's frames stays bounded, and what is kept stays true. */
class FrameLevelsTest {
  /** More than eight hours at 48 kHz, in frames that lie 4096 samples apart. */
  private static final int FRAMES = 350_000;

  private static final int HOP = 4096;
  private static final int BOUND = 1 << 15;

  private static float level(long i, int band) {
    return -60 + i % 40 + band / 4f;
  }

  private static float rough(long i, int band) {
    return 2 + i % 8 + band / 2f;
  }

  private static double dbfs(long i) {
    return -70 + i % 16;
  }

  @Test
  void ofALongTakeFewerFramesAreKeptAndThoseAsTheyWere() {
    FrameLevels levels = new FrameLevels(2);
    for (long i = 0; i < FRAMES; i++) {
      float[] db = {level(i, 0), level(i, 1)};
      levels.add(i * HOP, db, new float[] {rough(i, 0), rough(i, 1)}, dbfs(i));
      assertTrue(levels.count() <= BOUND);
    }
    assertEquals(2, levels.bands());
    // 350,000 / 16 = 21,875 fit into 32,768; 350,000 / 8 = 43,750 do not.
    assertEquals(16, levels.every());
    assertEquals(21_875, levels.count());
    for (int f = 0; f < levels.count(); f++) {
      long i = 16L * f;
      assertEquals(i * HOP, levels.at(f));
      for (int band = 0; band < 2; band++) {
        assertEquals(level(i, band), levels.level(f, band), 1 / 128f);
        assertEquals(rough(i, band), levels.rough(f, band), 1 / 8f);
      }
      assertEquals((level(i, 0) + level(i, 1)) / 2, levels.mean(f), 1e-4f);
      assertEquals((rough(i, 0) + rough(i, 1)) / 2, levels.rough(f), 1e-4f);
      assertEquals(dbfs(i), levels.dbfs(f), 1e-4);
    }
  }
}
