package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** What is wrong with a region is said of the sample that is made of it all the same. */
class FlagsOfRegionsTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;

  @TempDir Path folder;

  @Test
  void aClippedRegionThatTheSheetKeepsIsFlagged() {
    float[] x = HeldTone.of(RATE, 220, 1).samples();
    TakeBuilder builder = new TakeBuilder(RATE, 63).pause(2.5);
    builder.sound("note", 57, x, -6, ROOM_DBFS).pause(2);
    Clip take = builder.build(ROOM_DBFS);
    int at = builder.events().get(0).onset() + RATE / 2;
    Arrays.fill(take.channel(0), at, at + 5, 1);
    Job job = new Job(folder).take("take.wav", take);
    String sheet =
        "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: a, notes: [A3], keep: ["
            + Math.round(10.0 * at / RATE) / 10.0
            + "]}\n";
    job.build("kept", sheet);
    List<String[]> rows = job.rows("kept", "note", "A3", "flags");
    assertEquals(1, rows.size());
    assertTrue(rows.get(0)[0].contains("clipped"), rows.get(0)[0]);
  }
}
