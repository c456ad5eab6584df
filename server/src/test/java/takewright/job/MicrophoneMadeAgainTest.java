package takewright.job;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.library.BuildResult;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * A sample of a second microphone that is lost is made again from what was decided by the first,
 * whose sample is still there: the same loop, the same tuning, the same bytes.
 */
class MicrophoneMadeAgainTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -66;
  private static final double NOTE_S = 4;

  private static final String SHEET =
      "library: Larkfell\nlayers: [{name: close}, {name: far}]\ntakes:\n"
          + "  - {files: {close: close.wav, far: far.wav}, articulation: hum, notes: [A3, C4]}\n";

  @TempDir Path folder;

  /** Notes 20 cents sharp; each microphone has noise of its own, and the far one other partials. */
  private static Clip take(int seed, int partials, double levelDbfs) {
    TakeBuilder take = new TakeBuilder(RATE, seed).pause(3);
    for (double hz : new double[] {220, 261.6256}) {
      HeldTone tone = HeldTone.of(RATE, 1.0116 * hz, NOTE_S).withPartials(partials).ending(0.2);
      float[] note = tone.samples();
      take.sound("note", 0, note, levelDbfs, ROOM_DBFS).pause(1.5);
    }
    return take.build(ROOM_DBFS);
  }

  @Test
  void theSameAsBefore() throws IOException {
    Job job = new Job(folder).take("close.wav", take(11, 8, -14)).take("far.wav", take(12, 5, -18));
    BuildResult first = job.build("out", SHEET);
    assertEquals(4, first.samples());
    List<String[]> far = job.rows("out", "layer", "far", "file", "loop_start");
    for (String[] row : far) {
      assertFalse(row[1].isEmpty(), row[0] + " has no loop");
    }
    Path lost = job.file("out").resolve(far.get(0)[0]);
    byte[] before = Files.readAllBytes(lost);
    Files.delete(lost);

    BuildResult again = job.build("out", SHEET);
    assertEquals(3, again.samplesReused());
    assertArrayEquals(before, Files.readAllBytes(lost));
  }
}
