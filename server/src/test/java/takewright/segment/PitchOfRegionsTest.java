package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/** How well the pitch of a region is known. The notes are computed, so their pitch is exact. */
class PitchOfRegionsTest {
  private static final int RATE = 48_000;

  /** MIDI note numbers and cents. */
  private static final double[][] NOTES = {
    {55, -4}, {57, 5}, {60, -4}, {62, 5}, {64, 0}, {67, 17}, {69, -23}, {72, -4}, {76, 5}, {79, 40}
  };

  @Test
  void centsAreNotThoseOfAGrid() throws IOException {
    SplittableRandom random = new SplittableRandom(3);
    float[] take = new float[(1 + 2 * NOTES.length) * RATE];
    for (int i = 0; i < take.length; i++) {
      take[i] = (float) (2e-4 * (random.nextDouble() - 0.5));
    }
    for (int n = 0; n < NOTES.length; n++) {
      double hz = 440 * Math.pow(2, (NOTES[n][0] - 69 + NOTES[n][1] / 100) / 12);
      for (int i = 0; i < RATE; i++) {
        double t = (double) i / RATE;
        double loud = 0.1 * Math.min(1, t / 0.02) * Math.exp(-t) * Math.min(1, (1 - t) / 0.05);
        for (int k = 1; k <= 6; k++) {
          take[(1 + 2 * n) * RATE + i] += (float) (loud / k * Math.sin(2 * Math.PI * k * hz * t));
        }
      }
    }
    List<Region> kept =
        Segment.apply(Clip.of(RATE, take).source(), SegmentSettings.forKind(Kind.PITCHED))
            .regions()
            .stream()
            .filter(region -> !region.rejected())
            .toList();
    assertEquals(NOTES.length, kept.size(), kept + " of " + Arrays.deepToString(NOTES));
    for (int n = 0; n < NOTES.length; n++) {
      assertEquals(NOTES[n][0], kept.get(n).pitch().midi());
      assertEquals(NOTES[n][1], kept.get(n).pitch().cents(), 1, "note " + NOTES[n][0]);
    }
  }
}
