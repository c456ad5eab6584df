package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.pitch.Kind;

/**
 * What is known of the room where a player waits, by what was heard before alone. Noise, strings
 * and words are computed, so that its level is known.
 */
class LiveRoomTest {
  private static final int RATE = 16_000;
  private static final double SECONDS = 105;
  private static final double ROOM = 0.001;

  /** RMS in dBFS of noise that is spread evenly up to that. */
  private static final double ROOM_DBFS = 10 * Math.log10(ROOM * ROOM / 3);

  /** From one string to the next, each of which rings on for as long, in seconds. */
  private static final double EVERY_S = 4;

  private static final double RINGS_S = 4.3;

  /** Two strings that ring into each other, a word, and a pause of 0.8 s each time. */
  @Test
  void stringsBetweenWordsAreNotTheRoom() {
    float[] x = room();
    int notes = 0;
    for (double at = 3; at < SECONDS - 10; ) {
      at = strings(x, at, 2, notes);
      notes += 2;
      word(x, at, notes);
      at += 2.5 + 0.8;
    }
    assertEquals(ROOM_DBFS, loudestRoomDbfs(x), 2);
  }

  /** Eight strings that ring into each other, and a pause of 0.55 s: little more than a room is. */
  @Test
  void stringsThatLeaveTheRoomHardlyAnyPauseAreNotTheRoom() {
    float[] x = room();
    int notes = 0;
    for (double at = 3; at < SECONDS - 40; ) {
      at = strings(x, at, 8, notes);
      notes += 8;
      at += 0.25;
    }
    assertEquals(ROOM_DBFS, loudestRoomDbfs(x), 2);
  }

  /** Adds some, and returns 0.3 s behind the end of the last. */
  private static double strings(float[] x, double at, int count, int before) {
    for (int n = before; n < before + count; n++) {
      double hertz = 440 * Math.pow(2, (45 + n / 6 * 3 % 24 - 69) / 12.0);
      PluckedString.add(x, RATE, 0.14, at + (n - before) * EVERY_S, RINGS_S, hertz);
    }
    return at + count * EVERY_S + RINGS_S - EVERY_S + 0.3;
  }

  /** A soft voice for 2.5 s: four syllables a second, and another pitch five times a second. */
  private static void word(float[] x, double at, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    double phase = 0;
    double hertz = 0;
    for (int i = 0; i < 2.5 * RATE; i++) {
      hertz = i % (RATE / 5) == 0 ? 110 + 90 * random.nextDouble() : hertz;
      phase += 2 * Math.PI * hertz / RATE;
      double voice = 0.2 * (2 * random.nextDouble() - 1);
      for (int k = 1; k <= 6; k++) {
        voice += Math.sin(k * phase) / k;
      }
      double loud = 0.005 * Math.abs(Math.sin(4 * Math.PI * i / RATE));
      x[(int) (at * RATE) + i] += (float) (loud * voice);
    }
  }

  /** The loudest that the room seemed to be at any time after the first three seconds. */
  private static double loudestRoomDbfs(float[] x) {
    List<Region> found = new ArrayList<>();
    SegmentSettings settings = SegmentSettings.forKind(Kind.PITCHED);
    Segmenter soon = Segmenter.soon(RATE, 1, settings, found::add);
    double loudest = Double.NEGATIVE_INFINITY;
    int piece = RATE / 10;
    for (int at = 0; at < x.length; at += piece) {
      float[] next = Arrays.copyOfRange(x, at, Math.min(x.length, at + piece));
      soon.push(new float[][] {next}, next.length);
      loudest = at < 3 * RATE ? loudest : Math.max(loudest, soon.roomTone().dbfs());
    }
    return loudest;
  }

  private static float[] room() {
    SplittableRandom random = new SplittableRandom(5);
    float[] x = new float[(int) (SECONDS * RATE)];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (ROOM * (2 * random.nextDouble() - 1));
    }
    return x;
  }
}
