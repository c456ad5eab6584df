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
import takewright.testing.TakeBuilder;

/**
 * Where nothing hides an onset it is not found late, and a tail is followed down to the room. The
 * notes are computed, so that both are known; a plucked string's partials die away at their own
 * speeds, the high ones first.
 */
class PlainOnsetsAndTailsTest {
  private static final int RATE = 48_000;

  /**
   * @param fall time in which the fundamental falls by 60 dB, in seconds
   */
  private static float[] plucked(double hz, double fall, double seconds, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[(int) (seconds * RATE)];
    for (int k = 1; k <= 12; k++) {
      double turn = 2 * Math.PI * random.nextDouble();
      double loss = 6.9078 * (1 + 0.25 * (k - 1)) / fall;
      for (int i = 0; i < x.length; i++) {
        double t = (double) i / RATE;
        double loud = Math.min(1, t / 0.002) * Math.exp(-loss * t) / k;
        x[i] += (float) (loud * Math.sin(2 * Math.PI * k * hz * t + turn));
      }
    }
    // The string is damped at the very end, where it is heard no more.
    for (int i = 0; i < RATE / 50; i++) {
      x[x.length - 1 - i] *= i / (RATE / 50f);
    }
    return x;
  }

  private static List<Region> kept(Clip take) throws IOException {
    return Segment.apply(take.source(), SegmentSettings.forKind(Kind.PITCHED)).regions().stream()
        .filter(region -> !region.rejected())
        .toList();
  }

  /**
   * A cut that is late takes some of the attack away, so none is late by more than a millisecond or
   * so; early by up to 5 ms is the project's bar for the median (common practice: editors cut a few
   * milliseconds ahead).
   */
  @Test
  void noPlainOnsetIsFoundLate() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 81).pause(2.5);
    for (int i = 0; i < 14; i++) {
      double hz = 110 * Math.pow(2, i / 5.0);
      take.sound("note", 0, plucked(hz, 1.2, 1.2, i), -10 - i % 3 * 4, -66).pause();
    }
    List<Region> kept = kept(take.build(-66));
    assertEquals(14, kept.size());
    double[] off = new double[14];
    for (int i = 0; i < 14; i++) {
      off[i] = 1000.0 * (kept.get(i).onset() - take.events().get(i).onset()) / RATE;
    }
    for (double late : off) {
      assertTrue(late <= 1.5 && late >= -5, "ms late: " + Arrays.toString(off));
    }
  }

  /**
   * By the project's bar (the tests' README): nothing that is above the room or within 60 dB of the
   * peak is cut off.
   */
  @Test
  void aTailIsFollowedIntoTheRoom() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 82).pause(3);
    for (int i = 0; i < 5; i++) {
      double hz = 196 * Math.pow(2, i / 3.0);
      take.sound("note", 0, plucked(hz, 5 + i, 8, i), -12, -66).pause(2);
    }
    List<Region> kept = kept(take.build(-66));
    assertEquals(5, kept.size());
    for (int i = 0; i < 5; i++) {
      double over = (double) (kept.get(i).end() - take.events().get(i).audible()) / RATE;
      assertTrue(over >= -0.03, "note " + i + " is cut " + -over + " s too early");
      assertTrue(over <= 2, "note " + i + " goes on for " + over + " s");
    }
  }
}
