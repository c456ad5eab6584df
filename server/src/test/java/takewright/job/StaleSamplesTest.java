package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.testing.Ear;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** A take that is exported again is built again, however like the first it is. */
class StaleSamplesTest {
  private static final String SHEET =
      "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: a, notes: [A3], loop: no}\n";

  @TempDir Path folder;

  /**
   * Turned over, a take has the same size, cuts, levels and pitch; only its samples tell. They are
   * compared by libsndfile and NumPy.
   */
  @Test
  void aTakeOfTheSameSizeAndCutsIsNotTakenForTheOldOne() throws IOException {
    TakeBuilder take = new TakeBuilder(48_000, 61).pause(2.5);
    float[] note = new float[48_000];
    for (int i = 0; i < note.length; i++) {
      double loud = Math.min(1, i / 500.0) * Math.min(1, (note.length - i) / 4000.0);
      double phase = 2 * Math.PI * 220 * i / 48_000;
      note[i] = (float) (loud * (Math.sin(phase) + 0.5 * Math.sin(2 * phase)));
    }
    take.sound("note", 57, note, -14, -66).pause(2);
    Job job = new Job(folder).take("take.wav", take.build(-66));
    assertEquals(0, job.build("out", SHEET).samplesReused());
    assertEquals(1, job.build("out", SHEET).samplesReused(), "unchanged, it is not made again");
    Path sample = job.sample("out", "A3");
    Path old = Files.copy(sample, folder.resolve("old.wav"));
    long size = Files.size(job.file("take.wav"));
    FileTime time = Files.getLastModifiedTime(job.file("take.wav"));

    // As it lies in the file, so that no bit but the sign changes.
    Clip clip;
    try (AudioFile file = AudioFile.open(job.file("take.wav"))) {
      clip = Clip.read(file, (int) file.frames());
    }
    float[] x = clip.channel(0);
    for (int i = 0; i < x.length; i++) {
      x[i] = -x[i];
    }
    job.take("take.wav", clip);
    assertEquals(size, Files.size(job.file("take.wav")));
    Files.setLastModifiedTime(job.file("take.wav"), FileTime.fromMillis(time.toMillis() + 2_000));
    assertEquals(0, job.build("out", SHEET).samplesReused());
    double alike =
        new Ear(folder)
            .y(
                String.format(
                    "a, b = mono(%s)[0], mono(%s)[0]\ny = [np.corrcoef(a, b)[0, 1]]",
                    Ear.quoted(old), Ear.quoted(sample)))[0];
    assertTrue(alike < -0.99, "correlation with the first export: " + alike);
  }
}
