package takewright.job;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.testing.Job;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/** Low notes of a quarter of a second, whose windows do not agree on a pitch. */
class LowShortNotesTest {
  private static final double ROOM_DBFS = -62;
  private static final int NOTES = 10;

  @TempDir Path folder;

  @Test
  void arePlacedBySoundAndNotByTheirOrderAlone() {
    List<Recordings.Note> notes = Recordings.of("contrabass").subList(0, NOTES);
    int rate = notes.get(0).read(0.1).sampleRate();
    TakeBuilder take = new TakeBuilder(rate, 11).pause(2);
    for (Recordings.Note note : notes) {
      for (double peak : new double[] {-20, -10}) {
        float[] sound = TakeBuilder.faded(note.read(0.25));
        take.sound("note", note.midi(), sound, peak, ROOM_DBFS).pause();
      }
    }
    Job job = new Job(folder).take("take.wav", take.build(ROOM_DBFS));
    String listed = Recordings.spelled(notes);
    job.build(
        "out",
        "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: staccato,"
            + " dynamics: [p, f], notes: ["
            + listed
            + "]}\n");
    List<String[]> kept = job.rows("out", "status", "kept", "midi", "flags");
    long sure =
        kept.stream()
            .filter(row -> !row[1].contains("unsure") && !row[1].contains("no_pitch"))
            .count();
    assertTrue(sure >= 2 * NOTES - 1, sure + " of " + kept.stream().map(List::of).toList());
  }
}
