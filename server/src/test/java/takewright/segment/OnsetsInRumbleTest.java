package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/** Low notes that set in softly in a room that hums and rumbles among their partials. */
class OnsetsInRumbleTest {
  private static final int RATE = 48_000;
  private static final int NOTES = 16;
  private static final double FIRST_S = 3;
  private static final double EVERY_S = 2.5;
  private static final double HELD_S = 1.2;

  /** Made noise at -44 dBFS, most of it within 20 Hz of 110 Hz, as of a fan. */
  private static float[] fan(double seconds, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[(int) (seconds * RATE)];
    double keeps = Math.exp(-Math.PI * 20 / RATE);
    double turns = 2 * keeps * Math.cos(2 * Math.PI * 110 / RATE);
    double last = 0;
    double before = 0;
    double sum = 0;
    for (int i = 0; i < x.length; i++) {
      double white = random.nextDouble() * 2 - 1;
      double now = white + turns * last - keeps * keeps * before;
      before = last;
      last = now;
      x[i] = (float) (now + 3 * white);
      sum += x[i] * x[i];
    }
    float gain = (float) (Math.pow(10, -44 / 20.0) / Math.sqrt(sum / x.length));
    for (int i = 0; i < x.length; i++) {
      x[i] *= gain;
    }
    return x;
  }

  /** A note that takes 0.15 s to its full level. */
  private static void addNote(float[] x, double atS, double hertz) {
    int from = (int) (atS * RATE);
    int length = (int) (HELD_S * RATE);
    for (int i = 0; i < length; i++) {
      double t = (double) i / RATE;
      double loud = 0.2 * Math.min(1, Math.min(t / 0.15, (HELD_S - t) / 0.1));
      double sum = 0;
      for (int k = 1; k <= 8; k++) {
        sum += Math.sin(2 * Math.PI * k * hertz * t + k * k) / (k * k);
      }
      x[from + i] += (float) (loud * sum);
    }
  }

  /** By the design's bar for recorded rooms, 20 ms at 95 %, and no attack is cut into. */
  @Test
  void theRumbleBeforeALowNoteIsNoneOfIt() throws IOException {
    float[] x = fan(FIRST_S + NOTES * EVERY_S, 8);
    for (int n = 0; n < NOTES; n++) {
      addNote(x, FIRST_S + n * EVERY_S, 55 * Math.pow(2, n / 16.0));
    }
    List<Region> kept =
        Segment.apply(Clip.of(RATE, x).source(), SegmentSettings.forKind(Kind.PITCHED))
            .regions()
            .stream()
            .filter(region -> !region.rejected())
            .toList();
    assertEquals(NOTES, kept.size(), "" + kept);
    double[] early = new double[NOTES];
    for (int n = 0; n < NOTES; n++) {
      double at = FIRST_S + n * EVERY_S;
      early[n] = 1000 * (at - (double) kept.get(n).onset() / RATE);
      double start = (double) kept.get(n).start() / RATE;
      assertTrue(start <= at + 0.001, "note " + n + " at " + at + " begins at " + start);
    }
    Arrays.sort(early);
    assertTrue(early[NOTES - 1] <= 20, "ms early: " + Arrays.toString(early));
  }
}
