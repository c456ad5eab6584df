package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;

/** A computed note that swells once, by 1 dB from 2 to 4 s, and is held still otherwise. */
class PulseTest {
  private static final int RATE = 48_000;
  private static final double HZ = 220;
  private static final double SWELL_S = 2;

  /** Hiss beside the swell, so that nothing but its pulse speaks against a loop over it. */
  private static final double HISS = 0.03;

  private static float[] note(double swellDb) {
    float[] x = new float[8 * RATE];
    Random random = new Random(3);
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double in = (t - 2) / SWELL_S;
      double db = in > 0 && in < 1 ? swellDb / 2 * (1 - Math.cos(2 * Math.PI * in)) : 0;
      double tone = Math.sin(2 * Math.PI * HZ * t) + 0.4 * Math.sin(6 * Math.PI * HZ * t);
      double hiss = in > 0 && in < 1 ? 0 : HISS * random.nextGaussian();
      x[i] = (float) (0.2 * Math.pow(10, db / 20) * tone + hiss);
    }
    return x;
  }

  private static double excess(double swellDb, double fromS, double toS) {
    NoteCourse course = new NoteCourse(note(swellDb), RATE, HZ);
    Pulse pulse = new Pulse(course, SteadyPart.of(course, RATE));
    return pulse.excess(new Loop((int) (fromS * RATE), (int) (toS * RATE) - 1, RATE / 50));
  }

  /** By arithmetic: the swing has half the swell, of which 1 is heard for each 0.122 of it. */
  @Test
  void aLoopOverASwellPulsesAndOneBesideItDoesNot() {
    assertTrue(excess(1, 2, 4) > 1, "over the swell");
    assertEquals(0, excess(1, 5, 7), 0.2, "beside it");
    assertEquals(0, excess(0, 2, 4), 0.2, "of a note that does not swell");
  }

  @Test
  void aLoopIsChosenBesideTheSwell() {
    LoopSettings settings = new LoopSettings(HZ, 1.6, 2, 0.12);
    Loop loop = LoopSearch.apply(Clip.of(RATE, note(1)), settings).loop();
    double start = (double) loop.start() / RATE;
    double end = (double) loop.end() / RATE;
    double shared = Math.max(0, Math.min(end, 4) - Math.max(start, 2));
    assertTrue(shared < 0.3, "a loop from " + start + " to " + end + " s");
  }
}
