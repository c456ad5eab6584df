package takewright.segment.room;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.pitch.Kind;
import takewright.segment.Region;
import takewright.segment.Segment;
import takewright.segment.SegmentSettings;

/** Low strings that ring on by a single partial in a room that rumbles; all of it is computed. */
class RingingPartialTest {
  private static final int RATE = 48_000;

  /** The room's RMS is -56 dBFS; most of it lies below 200 Hz, and its level wanders by 3 dB. */
  private static final double ROOM_DBFS = -56;

  private static final double ONSET_S = 4;
  private static final double LIFTED_S = 7;

  /** What rings behind the bow starts 2 dB above the room, and sinks by 6 dB in a second. */
  private static final double RING_DBFS = -54;

  private static final double RING_DB_PER_S = 6;

  private static float[] room(long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[12 * RATE];
    double low = 0;
    double gain = 0;
    double energy = 0;
    for (int i = 0; i < x.length; i++) {
      double white = random.nextDouble() * 2 - 1;
      low += 0.02 * (white - low);
      gain = i % 4800 == 0 ? 0.9 * gain + random.nextDouble() * 2 - 1 : gain;
      x[i] = (float) (Math.pow(10, gain / 20) * (low + 0.02 * white));
      energy += x[i] * x[i];
    }
    double scale = Math.pow(10, ROOM_DBFS / 20) / Math.sqrt(energy / x.length);
    for (int i = 0; i < x.length; i++) {
      x[i] *= (float) scale;
    }
    return x;
  }

  /** Three seconds at -26 dBFS with six partials; then the lowest alone, to 3 s later. */
  private static void addNote(float[] x, double hz, boolean rings) {
    for (int i = (int) (ONSET_S * RATE); i < (LIFTED_S + 3) * RATE; i++) {
      double t = (double) i / RATE;
      double held = t < LIFTED_S ? Math.min(1, (t - ONSET_S) / 0.02) : 0;
      held = t < LIFTED_S ? held : Math.exp(-(t - LIFTED_S) / 0.03);
      double ring = RING_DBFS - RING_DB_PER_S * Math.max(0, t - LIFTED_S);
      double least = rings ? Math.pow(10, (ring + 3) / 20) : 0;
      double lowest = Math.max(least, 0.06 * held);
      x[i] += (float) (lowest * Math.sin(2 * Math.PI * hz * t));
      for (int p = 2; p <= 6; p++) {
        x[i] += (float) (0.06 * held / p * Math.sin(2 * Math.PI * hz * p * t));
      }
    }
  }

  private static double endS(float[] x) throws IOException {
    List<Region> kept =
        Segment.apply(Clip.of(RATE, x).source(), SegmentSettings.forKind(Kind.PITCHED))
            .regions()
            .stream()
            .filter(region -> !region.rejected())
            .toList();
    assertEquals(1, kept.size(), "" + kept);
    return (double) kept.get(0).end() / RATE;
  }

  /**
   * To where it lies as far below the room as it began above it; no more than a second and half.
   */
  @ParameterizedTest
  @ValueSource(ints = {1, 2, 3, 4})
  void whatALowStringLeavesIsFollowedWhileItIsHeard(int seed) throws IOException {
    float[] x = room(seed);
    addNote(x, 110, true);
    double hiddenS = LIFTED_S + 2 * (RING_DBFS - ROOM_DBFS) / RING_DB_PER_S;
    assertTrue(endS(x) >= hiddenS - 0.03, "cut at " + endS(x));
    assertTrue(endS(x) <= hiddenS + 1.5, "late: " + endS(x));
  }

  /**
   * A fan's tone stands out as what rings does, and is louder than usual just then, but was there
   * before and does not sink.
   */
  @ParameterizedTest
  @ValueSource(ints = {1, 2, 3, 4})
  void aToneOfTheRoomIsNotFollowed(int seed) throws IOException {
    float[] plain = room(seed);
    addNote(plain, 220, false);
    float[] hums = plain.clone();
    for (int i = 0; i < hums.length; i++) {
      double t = (double) i / RATE;
      double dbfs = -55 + 2 * Math.cos(2 * Math.PI * (t - LIFTED_S - 0.5) / 8);
      hums[i] += (float) (Math.pow(10, dbfs / 20) * Math.sin(2 * Math.PI * 100 * t));
    }
    assertEquals(endS(plain), endS(hums), 0.3);
  }

  @Test
  void atTheEndOfATakeItIsFollowedAsFarAsThereIsAudio() throws IOException {
    float[] x = room(5);
    addNote(x, 110, true);
    float[] cut = Arrays.copyOf(x, (int) ((LIFTED_S + 0.3) * RATE));
    assertEquals(LIFTED_S + 0.3, endS(cut), 0.001);
  }
}
