package takewright.job;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.library.BuildResult;
import takewright.testing.Ear;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/** A note that was not played is missing, whatever its octave did. */
class OctavesTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;

  /**
   * A3 was left out, before or after A4 in the plan: A4 goes by its own name, as NumPy hears it.
   */
  @ParameterizedTest
  @ValueSource(strings = {"A3, A4, B4", "A4, A3, B4"})
  void anotherOctaveFillsNoCell(String plan) {
    TakeBuilder take = new TakeBuilder(RATE, 93).pause(2.5);
    for (double hz : new double[] {440, 493.8833}) {
      take.sound("note", 0, HeldTone.of(RATE, hz, 1.2).samples(), -14, -66).pause(1.4);
    }
    Job job = new Job(folder).take("take.wav", take.build(-66));
    BuildResult result =
        job.build(
            "out",
            "library: Fenlight\ntakes:\n"
                + "  - {file: take.wav, articulation: a, notes: ["
                + plan
                + "]}\n");
    assertEquals(1, result.missing());
    assertEquals(List.of(), job.samples("out", "A3"));
    assertEquals(0, new Ear(folder).cents(job.sample("out", "A4"), 440), 1);
  }
}
