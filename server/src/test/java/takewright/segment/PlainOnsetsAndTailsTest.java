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

  /** A gong's ring, roughly: noise that swells and sinks by 3 dB while it dies away. */
  private static float[] ring(double fall, double seconds, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[(int) (seconds * RATE)];
    double low = 0;
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double white = random.nextDouble() - 0.5;
      low += 0.02 * (white - low);
      double swell = 0.7 + 0.3 * Math.pow(Math.cos(Math.PI * 0.8 * t), 2);
      x[i] = (float) (swell * (6 * low + 0.35 * white) * Math.exp(-6.9078 * t / fall));
    }
    return x;
  }

  private static List<Region> kept(Clip take, Kind kind) throws IOException {
    return Segment.apply(take.source(), SegmentSettings.forKind(kind)).regions().stream()
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
    List<Region> kept = kept(take.build(-66), Kind.PITCHED);
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
   * A ring that sinks below the room and comes up once more is heard until it does so no more, and
   * the bar for tails holds up to there.
   */
  @Test
  void aRingThatComesUpOnceMoreIsFollowed() throws IOException {
    double room = -56;
    TakeBuilder take = new TakeBuilder(RATE, 83).pause(3);
    double[] rings = new double[6];
    for (int i = 0; i < rings.length; i++) {
      float[] hit = ring(9 + 2 * i, 9, i);
      rings[i] = lastAbove(hit, -20, room);
      take.sound("hit", 0, hit, -20, room).pause(3);
    }
    List<Region> kept = kept(take.build(room), Kind.UNPITCHED);
    for (int i = 0; i < rings.length; i++) {
      TakeBuilder.Event ring = take.events().get(i);
      // Whether its swells are taken for further hits is not judged here.
      long last =
          kept.stream()
              .filter(region -> region.start() < ring.end() && region.end() > ring.start())
              .mapToLong(Region::end)
              .max()
              .orElse(0);
      double end = (double) (last - ring.start()) / RATE;
      double over = end - rings[i];
      assertTrue(over >= -0.03, "ring " + i + " is cut " + -over + " s too early");
      assertTrue(over <= 1.5, "ring " + i + " goes on for " + over + " s");
    }
  }

  /** Where 20 ms of a sound of this peak are last as loud as the room, in seconds. */
  private static double lastAbove(float[] x, double peakDbfs, double roomDbfs) {
    double peak = 0;
    for (float sample : x) {
      peak = Math.max(peak, Math.abs(sample));
    }
    int part = RATE / 50;
    double last = 0;
    for (int at = 0; at + part <= x.length; at += part) {
      double sum = 0;
      for (int i = at; i < at + part; i++) {
        sum += (double) x[i] * x[i];
      }
      double level = 10 * Math.log10(sum / part) - 20 * Math.log10(peak) + peakDbfs;
      last = level >= roomDbfs ? (double) (at + part) / RATE : last;
    }
    return last;
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
    List<Region> kept = kept(take.build(-66), Kind.PITCHED);
    assertEquals(5, kept.size());
    for (int i = 0; i < 5; i++) {
      double over = (double) (kept.get(i).end() - take.events().get(i).audible()) / RATE;
      assertTrue(over >= -0.03, "note " + i + " is cut " + -over + " s too early");
      assertTrue(over <= 2, "note " + i + " goes on for " + over + " s");
    }
  }
}
