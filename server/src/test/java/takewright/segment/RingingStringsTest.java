package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/**
 * Strings that are plucked while they and others ring. The notes are computed, so that their onsets
 * are known: partials that fall exponentially, the high ones faster.
 */
class RingingStringsTest {
  private static final int RATE = 48_000;

  private static float[] room(double seconds) {
    SplittableRandom random = new SplittableRandom(21);
    float[] x = new float[(int) (seconds * RATE)];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.001 * (2 * random.nextDouble() - 1));
    }
    return x;
  }

  /** A note is found where it is plucked though several strings ring, and no earlier. */
  @Test
  void aNoteSetsInWhereItIsPluckedThoughOthersRing() throws IOException {
    float[] x = room(24);
    double[] at = new double[8];
    for (int n = 0; n < at.length; n++) {
      at[n] = 3 + 2.3 * n;
      PluckedString.add(x, RATE, 0.14, at[n], 3.2, 110 * Math.pow(2, n * 5 / 12.0));
    }
    List<Region> kept =
        Segment.apply(Clip.of(RATE, x).source(), SegmentSettings.forKind(Kind.PITCHED))
            .regions()
            .stream()
            .filter(region -> !region.rejected())
            .toList();
    assertEquals(at.length, kept.size(), "" + kept);
    for (int n = 0; n < at.length; n++) {
      assertEquals(at[n], (double) kept.get(n).onset() / RATE, 0.006, "note " + n);
    }
  }

  /** A string a fourth higher, or a fifth, is named though the lower one rings as loud. */
  @Test
  void aNoteIsNamedThoughAnotherRings() throws IOException {
    float[] x = room(24);
    int[] midi = {45, 50, 57, 64, 69, 76, 59, 64};
    for (int n = 0; n < midi.length; n++) {
      PluckedString.add(x, RATE, 0.14, 3 + 1.6 * n, 2.4, 440 * Math.pow(2, (midi[n] - 69) / 12.0));
    }
    List<Region> regions =
        Segment.apply(Clip.of(RATE, x).source(), SegmentSettings.forKind(Kind.PITCHED)).regions();
    List<Integer> heard =
        regions.stream().map(r -> r.pitch() == null ? 0 : r.pitch().midi()).toList();
    assertEquals(Arrays.stream(midi).boxed().toList(), heard);
  }
}
