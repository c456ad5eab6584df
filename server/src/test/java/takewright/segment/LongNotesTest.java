package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/** Held notes that are longer than the room is looked for, with hardly a pause between them. */
class LongNotesTest {
  private static final int RATE = 48_000;
  private static final int NOTES = 4;
  private static final double FIRST_S = 3;
  private static final double HELD_S = 28;
  private static final double PAUSE_S = 0.4;

  /** They are no change of the room, though nothing else is heard in the 20 s that are ahead. */
  @Test
  void notesThatFillTheTimeAheadAreNotTheRoom() throws IOException {
    SplittableRandom random = new SplittableRandom(11);
    float[] take = new float[(int) ((FIRST_S + NOTES * (HELD_S + PAUSE_S) + 3) * RATE)];
    for (int i = 0; i < take.length; i++) {
      take[i] = (float) (0.001 * (random.nextDouble() * 2 - 1));
    }
    for (int n = 0; n < NOTES; n++) {
      hold(take, startS(n), 110 * Math.pow(2, n / 6.0), random);
    }
    List<Region> regions =
        Segment.apply(Clip.of(RATE, take).source(), SegmentSettings.forKind(Kind.PITCHED))
            .regions();
    assertEquals(NOTES, regions.size(), "" + regions);
    for (int n = 0; n < NOTES; n++) {
      assertEquals(startS(n), (double) regions.get(n).onset() / RATE, 0.02, "onset of " + n);
      assertEquals(startS(n) + HELD_S, (double) regions.get(n).end() / RATE, 0.4, "end of " + n);
    }
  }

  private static double startS(int note) {
    return FIRST_S + note * (HELD_S + PAUSE_S);
  }

  /** Adds a bowed note, with the noise of its bow: together 15 to 20 dB above the room. */
  private static void hold(float[] take, double atS, double hertz, SplittableRandom random) {
    int length = (int) (HELD_S * RATE);
    for (int i = 0; i < length; i++) {
      double t = (double) i / RATE;
      double fades = Math.min(1, Math.min(t / 0.03, (HELD_S - t) / 0.1));
      double sample = 0.003 * (random.nextDouble() * 2 - 1);
      for (int p = 1; p <= 12; p++) {
        sample += 0.005 / p * Math.sin(2 * Math.PI * hertz * p * t + p * p);
      }
      take[(int) (atS * RATE) + i] += (float) (fades * sample);
    }
  }
}
