package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/** Attacks of which a room hides a part, or that something of the room leads up to. */
class AttacksInRoomsTest {
  private static final int RATE = 48_000;
  private static final int NOTES = 8;
  private static final double FIRST_S = 3;
  private static final double EVERY_S = 3;
  private static final double HELD_S = 2;

  /** Made noise, most of it below 300 Hz; full scale at ±1. */
  private static float[] room(double rms, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[(int) ((FIRST_S + NOTES * EVERY_S) * RATE)];
    double low = 0;
    double sum = 0;
    for (int i = 0; i < x.length; i++) {
      double white = random.nextDouble() * 2 - 1;
      low += 0.04 * (white - low);
      x[i] = (float) (low + 0.01 * white);
      sum += x[i] * x[i];
    }
    float gain = (float) (rms / Math.sqrt(sum / x.length));
    for (int i = 0; i < x.length; i++) {
      x[i] *= gain;
    }
    return x;
  }

  private static double at(int note) {
    return FIRST_S + note * EVERY_S;
  }

  /** How loud a note is at a time after its onset, in seconds. */
  private interface Course {
    double at(double t);
  }

  private static void addNotes(float[] x, double lowestHz, Course loud) {
    for (int n = 0; n < NOTES; n++) {
      double hertz = lowestHz * Math.pow(2, n / 12.0);
      int from = (int) (at(n) * RATE);
      for (int i = 0; i < HELD_S * RATE; i++) {
        double t = (double) i / RATE;
        double level = loud.at(t) * Math.min(1, (HELD_S - t) / 0.1);
        for (int p = 1; p <= 8; p++) {
          x[from + i] += (float) (level / p * Math.sin(2 * Math.PI * p * hertz * t + p * p));
        }
      }
    }
  }

  private static List<Region> kept(float[] x) throws IOException {
    List<Region> kept =
        Segment.apply(Clip.of(RATE, x).source(), SegmentSettings.forKind(Kind.PITCHED))
            .regions()
            .stream()
            .filter(region -> !region.rejected())
            .toList();
    assertEquals(NOTES, kept.size(), "" + kept);
    return kept;
  }

  private static void assertOnsets(float[] x, double toleranceS) throws IOException {
    List<Region> kept = kept(x);
    for (int n = 0; n < NOTES; n++) {
      assertEquals(at(n), (double) kept.get(n).onset() / RATE, toleranceS, "note " + n);
    }
  }

  /** It jumps up within a few milliseconds, and grows slowly from then on. */
  @Test
  void aSlowRiseBehindAnAttackTellsNothingOfWhereItBegan() throws IOException {
    float[] x = room(0.001, 5);
    addNotes(x, 73, t -> 0.03 * Math.min(1, 0.15 * Math.min(1, t / 0.004) + t / 0.6));
    assertOnsets(x, 0.009);
  }

  /** The bow scratches once a period before a low string speaks; some are lost in the room. */
  @Test
  void aBowThatScratchesOnceAPeriodIsPartOfItsNote() throws IOException {
    double scratchesS = 0.04;
    float[] x = room(0.001, 7);
    SplittableRandom random = new SplittableRandom(4);
    addNotes(x, 110, t -> 0.1 * Math.min(1, Math.max(0, t - scratchesS) / 0.05));
    for (int n = 0; n < NOTES; n++) {
      double period = 1 / (110 * Math.pow(2, n / 12.0));
      for (double t = 0; t < scratchesS; t += period) {
        burst(x, at(n) + t, 0.012, random);
      }
    }
    List<Region> kept = kept(x);
    int whole = 0;
    for (int n = 0; n < NOTES; n++) {
      double start = (double) kept.get(n).start() / RATE;
      whole += start <= at(n) + 0.001 ? 1 : 0;
      assertTrue(start >= at(n) - 0.03, "note " + n + " begins " + (at(n) - start) + " s early");
    }
    assertTrue(whole >= NOTES - 1, whole + " of " + NOTES + " are whole");
  }

  /** A train rolls over a joint and is done just before each note springs up. */
  @Test
  void aRailJointUpToAnAttackIsNoPartOfIt() throws IOException {
    float[] x = room(0.001, 11);
    float[] joints = room(0.004, 12);
    addNotes(x, 220, t -> 0.1 * Math.min(1, 0.3 * Math.min(1, t / 0.003) + t / 0.05));
    for (int n = 0; n < NOTES; n++) {
      int until = (int) ((at(n) - 0.005) * RATE);
      for (int i = until - RATE / 50; i < until; i++) {
        x[i] += joints[i];
      }
    }
    assertOnsets(x, 0.01);
  }

  /** It scrapes as low as the room rumbles before the string sounds. */
  @Test
  void aBowThatScrapesLowIsPartOfItsNote() throws IOException {
    double scrapesS = 0.012;
    float[] x = room(0.001, 13);
    addNotes(x, 220, t -> 0.1 * Math.min(1, Math.max(0, t - scrapesS) / 0.08));
    for (int n = 0; n < NOTES; n++) {
      int from = (int) (at(n) * RATE);
      for (int i = 0; i < 3 * scrapesS * RATE; i++) {
        x[from + i] += (float) (0.005 * Math.sin(2 * Math.PI * 60 * i / RATE));
      }
    }
    assertOnsets(x, 0.01);
    List<Region> kept = kept(x);
    int late = 0;
    for (int n = 0; n < NOTES; n++) {
      late += (double) kept.get(n).onset() / RATE - at(n) > 0.003 ? 1 : 0;
    }
    assertTrue(late <= 1, late + " of " + NOTES + " are late");
  }

  /** Adds 2 ms of noise, most of it high. */
  private static void burst(float[] x, double atS, double level, SplittableRandom random) {
    double before = 0;
    for (int i = 0; i < 0.002 * RATE; i++) {
      double white = random.nextDouble() * 2 - 1;
      x[(int) (atS * RATE) + i] += (float) (level * (white - before));
      before = white;
    }
  }
}
