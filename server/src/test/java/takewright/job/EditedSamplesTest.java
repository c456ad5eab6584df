package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** A sample that a person edited stays, also where the sheet no longer asks for it. */
class EditedSamplesTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;
  private static final String SHEET =
      "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: %s, notes: [A3]}\n";

  @TempDir Path folder;

  @Test
  void anEditedSampleIsNotDeleted() throws IOException {
    float[] x = HeldTone.of(RATE, 220, 1).samples();
    TakeBuilder builder = new TakeBuilder(RATE, 63).pause(2.5);
    builder.sound("note", 57, x, -12, ROOM_DBFS).pause(2);
    Job job = new Job(folder).take("take.wav", builder.build(ROOM_DBFS));
    job.build("out", String.format(SHEET, "bow"));
    Path edited = job.sample("out", "bow");
    Files.writeString(edited, "edited by hand");
    job.build("out", String.format(SHEET, "pluck"));
    assertEquals("edited by hand", Files.readString(edited));
  }
}
