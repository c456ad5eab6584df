package takewright.segment.flaw;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/** Two notes laid beside each other by what lies between their partials, in levels written down. */
class NoiseCourseTest {
  private static final double LEVEL_DB = -20;

  /** How fast a note dies away, in dB by column. */
  private static final double DECAY_DB = 1;

  /**
   * A note that dies away, with four bands 40 dB below its beginning.
   *
   * @param more what all bands have more of in its columns 6 to 9, in dB
   */
  private static NoiseCourse course(int columns, double levelDb, double more) {
    List<float[]> levels = new ArrayList<>();
    for (int b = 0; b < 4; b++) {
      float[] level = new float[Math.max(10, columns)];
      Arrays.fill(level, (float) (levelDb - 40));
      Arrays.fill(level, 6, 10, (float) (levelDb - 40 + more));
      levels.add(level);
    }
    float[] partials = new float[columns];
    for (int i = 0; i < columns; i++) {
      partials[i] = (float) Math.pow(10, (levelDb - DECAY_DB * i) / 10);
    }
    return NoiseCourse.of(levels, columns, partials);
  }

  @Test
  void howLoudANoteIsShowsWhileBothGoOn() {
    NoiseCourse clean = course(80, LEVEL_DB, 0);
    assertEquals(
        14, course(12, LEVEL_DB, 14).moreDb(clean), 1e-3, "over the note that dies longer");
    assertEquals(14, course(80, LEVEL_DB, 14).moreDb(clean), 1e-3, "over one that is as long");
    assertEquals(0, course(12, LEVEL_DB + 10, 0).moreDb(clean), 1e-3, "louder as a whole");
    assertEquals(4, course(12, LEVEL_DB + 10, 4).moreDb(clean), 1e-3, "and something over it");
    assertEquals(4, course(12, LEVEL_DB - 10, 14).moreDb(clean), 1e-3, "softer, and over it");
  }

  @Test
  void aNoteTooShortForAStageSaysNothing() {
    for (int columns : new int[] {0, 1, 3}) {
      assertEquals(0, course(columns, LEVEL_DB, 14).moreDb(course(12, LEVEL_DB, 0)));
      assertEquals(0, course(12, LEVEL_DB, 14).moreDb(course(columns, LEVEL_DB, 0)));
    }
    assertEquals(0, course(4, LEVEL_DB, 14).moreDb(course(4, LEVEL_DB, 0)), 1e-3, "one stage");
    assertEquals(0, NoiseCourse.NONE.moreDb(NoiseCourse.NONE));
  }

  @Test
  void aNoteWhosePartialsAreNotFollowedIsAsLoudAsAnother() {
    float[][] silent = new float[2][12];
    List<float[]> levels = List.of(silent[0], silent[0], silent[0]);
    NoiseCourse course = NoiseCourse.of(levels, 12, silent[1]);
    assertEquals(0, course.moreDb(course));
  }
}
