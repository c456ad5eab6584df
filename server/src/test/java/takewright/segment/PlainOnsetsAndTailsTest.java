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

  /** RMS of a hall's tail at its start. */
  private static final double TAIL = 0.1;

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
   * What clicks shortly before a low string is struck, like a ring on the hand, is none of it: the
   * stroke springs up from there, though a period is as long as the dip between the two.
   */
  @Test
  void whatClicksBeforeAStrokeIsNoneOfIt() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 83).pause(2.5);
    for (int i = 0; i < 6; i++) {
      take.sound("note", 0, plucked(82 * Math.pow(2, i / 12.0), 1.2, 1.2, i), -8, -66).pause();
    }
    Clip clip = take.build(-70);
    for (TakeBuilder.Event note : take.events()) {
      for (int i = 0; i < 24; i++) {
        double fall = Math.exp(-i / 6.0) * Math.sin(0.5 * i);
        clip.channel(0)[note.onset() - RATE / 125 + i] += (float) (0.01 * fall);
      }
    }
    List<Region> kept = kept(clip);
    assertEquals(6, kept.size());
    double[] off = new double[6];
    for (int i = 0; i < 6; i++) {
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

  /**
   * A bowed low string: all of it falls by 60 dB a second once the bow has left, but its
   * fundamental rings on from {@code ringDb} below the note, and falls by 8 dB a second.
   */
  private static float[] bowed(double hz, double ringDb) {
    float[] x = new float[6 * RATE];
    for (int k = 1; k <= 12; k++) {
      for (int i = 0; i < x.length; i++) {
        double t = (double) i / RATE;
        double since = Math.max(0, t - 3);
        double fallen = Math.min(60 * since, k == 1 ? ringDb + 8 * since : 200);
        double loud = Math.min(1, t / 0.05) / k * Math.pow(10, -fallen / 20);
        x[i] += (float) (loud * Math.sin(2 * Math.PI * k * hz * t + k * k));
      }
    }
    for (int i = 0; i < RATE / 50; i++) {
      x[x.length - 1 - i] *= i / (RATE / 50f);
    }
    return x;
  }

  /**
   * What rings on more slowly than the tail fell before is followed until it raises the room by
   * little more than 1 dB (as below): until it lies 5 dB below it.
   */
  @Test
  void aStringThatTheBowHasLeftIsFollowedAsItRingsOn() throws IOException {
    double room = -62;
    double ringDb = 36;
    TakeBuilder take = new TakeBuilder(RATE, 82).pause(3);
    double[] softer = new double[2];
    for (int i = 0; i < 2; i++) {
      float[] note = bowed(110 * Math.pow(2, i / 12.0), ringDb);
      take.sound("note", 0, note, -12, room).pause(2.5);
      double fundamentalDbfs = -12 - 20 * Math.log10(peak(note)) - 3;
      softer[i] = fundamentalDbfs - ringDb - room;
    }
    List<Region> kept = kept(take.build(room));
    assertEquals(2, kept.size());
    for (int i = 0; i < 2; i++) {
      double since = (double) (kept.get(i).end() - take.events().get(i).onset()) / RATE - 3;
      double left = softer[i] - 8 * since;
      assertTrue(left <= -5, "note " + i + " ends at " + left + " dB beside the room");
      assertTrue(since <= 2.5, "note " + i + " goes on for " + since + " s");
    }
  }

  /**
   * A hit in a hall, whose tail has the colour of the room and dies away into it. It is followed
   * until it raises the room by less than 1 dB, about what is heard as a change of level (common
   * practice): until it lies 5.9 dB below, since 10 log(1 + 10^-0.587) is 1. When that is follows
   * from the tail's level at its start and its fall.
   */
  @Test
  void aHallsTailIsFollowedUntilItDoesNotRaiseTheRoom() throws IOException {
    for (double room : new double[] {-50, -58}) {
      TakeBuilder take = new TakeBuilder(RATE, 192).pause(4);
      double[] falls = {4, 6, 8};
      long[] heardTo = new long[falls.length];
      for (int i = 0; i < falls.length; i++) {
        float[] hit = hitInAHall(falls[i], 101 + i);
        take.sound("hit", 0, hit, -8, room).pause(2.5);
        double tailDbfs = -8 + 20 * Math.log10(TAIL / peak(hit));
        double seconds = (tailDbfs - (room - 5.87)) * falls[i] / 60;
        heardTo[i] = take.events().get(i).start() + (long) (seconds * RATE);
      }
      List<Region> regions =
          Segment.apply(take.build(room).source(), SegmentSettings.forKind(Kind.UNPITCHED))
              .regions();
      assertEquals(falls.length, regions.size());
      for (int i = 0; i < falls.length; i++) {
        double over = (double) (regions.get(i).end() - heardTo[i]) / RATE;
        assertTrue(over >= 0, "hit " + i + " is cut " + -over + " s too early");
        assertTrue(over <= 1.5, "hit " + i + " goes on for " + over + " s");
      }
    }
  }

  /**
   * Noise of the room's colour that dies away within 0.2 s, and a tail under it.
   *
   * @param fall time in which the tail falls by 60 dB, in seconds
   */
  private static float[] hitInAHall(double fall, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    double[] noise = new double[(int) (fall * RATE)];
    double low = 0;
    double square = 0;
    for (int i = 0; i < noise.length; i++) {
      double white = random.nextDouble() + random.nextDouble() + random.nextDouble() - 1.5;
      low += 0.02 * (white - low);
      noise[i] = 6 * low + 0.35 * white;
      square += noise[i] * noise[i];
    }
    double rms = Math.sqrt(square / noise.length);
    float[] x = new float[noise.length];
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double loud = Math.exp(-6.9078 * t / 0.2) + TAIL * Math.exp(-6.9078 * t / fall);
      x[i] = (float) (noise[i] / rms * loud * Math.min(1, t / 0.002));
    }
    return x;
  }

  private static double peak(float[] x) {
    double peak = 0;
    for (float v : x) {
      peak = Math.max(peak, Math.abs(v));
    }
    return peak;
  }
}
