package takewright.analyse;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.testing.Ear;
import takewright.testing.Job;

/** The loudness range where its upper percentile matters. */
class LoudnessRangeTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;

  /**
   * EBU Tech 3342, clause 3.1: from the 10th to the 95th percentile. The loudest 14 of 160 s are
   * between the 90th and the 95th; FFmpeg's meter says the same.
   */
  @Test
  void theUpperEndIsThe95thPercentile() {
    double[] seconds = {40, 106, 14};
    double[] lufs = {-36, -27, -20};
    float[][] x = new float[2][160 * RATE];
    int at = 0;
    for (int part = 0; part < 3; part++) {
      // Both channels of a sine of 997 Hz at 0 dBFS read 0 LUFS (Tech 3341, case 1).
      double amplitude = Math.pow(10, lufs[part] / 20);
      for (int end = at + (int) (seconds[part] * RATE); at < end; at++) {
        x[0][at] = (float) (amplitude * Math.sin(2 * Math.PI * 997 * at / RATE));
        x[1][at] = x[0][at];
      }
    }
    Loudness loudness = new Loudness(RATE, 2);
    loudness.feed(x, 0, x[0].length);
    assertEquals(16, loudness.range(), 0.5);
    Job job = new Job(folder).take("steps.wav", Clip.of(RATE, x));
    double others =
        new Ear(folder).y("y = [loudness_range(" + Ear.quoted(job.file("steps.wav")) + ")]")[0];
    assertEquals(others, loudness.range(), 0.2);
  }
}
