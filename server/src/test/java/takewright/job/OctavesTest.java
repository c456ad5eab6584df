package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.library.BuildResult;
import takewright.testing.Ear;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** A note that was not played is missing, whatever its octave did. */
class OctavesTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;

  /** A3 was left out: A4 goes by its own name, and NumPy hears A4 in it. */
  @Test
  void anotherOctaveFillsNoCell() {
    TakeBuilder take = new TakeBuilder(RATE, 93).pause(2.5);
    for (double hz : new double[] {246.9417, 440, 493.8833}) {
      float[] x = new float[(int) (1.2 * RATE)];
      for (int i = 0; i < x.length; i++) {
        double loud = Math.min(1, i / 600.0) * Math.min(1, (x.length - i) / 4000.0);
        for (int k = 1; k <= 8; k++) {
          x[i] += (float) (loud * Math.sin(2 * Math.PI * k * hz * i / RATE + k) / k);
        }
      }
      take.sound("note", 0, x, -14, -66).pause(1.4);
    }
    Job job = new Job(folder).take("take.wav", take.build(-66));
    BuildResult result =
        job.build(
            "out",
            "library: Larkfell\ntakes:\n"
                + "  - {file: take.wav, articulation: a, notes: [A3, B3, A4, B4]}\n");
    assertEquals(1, result.missing());
    assertEquals(List.of(), job.samples("out", "A3"));
    double[] heard =
        new Ear(folder)
            .cents(
                List.of(job.sample("out", "B3"), job.sample("out", "A4"), job.sample("out", "B4")),
                246.9417,
                440,
                493.8833);
    for (double cents : heard) {
      assertEquals(0, cents, 1);
    }
  }
}
