package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/**
 * Notes that speak with a burst before their tone comes up, as reeds, flutes and organ pipes may
 * (from memory; Fletcher and Rossing, The Physics of Musical Instruments, chapters 15 to 17, treat
 * them). They are computed, so that their number is known.
 */
class SwellingNotesTest {
  private static final int RATE = 48_000;

  private static final int NOTES = 6;

  private static final double EVERY_S = 2.5;

  private static final double NOTE_S = 2;

  /** Length of the burst until the tone has come up, in seconds. */
  private static final double BURST_S = 0.2;

  /** How far the burst falls before that, in dB. */
  private static final double FALLS_DB = 8;

  /** From a knock to the note behind it, in seconds. */
  private static final double SOON_S = 0.22;

  /** From a burst to the tone that it starts, in seconds. */
  private static final double AT_ONCE_S = 0.07;

  /** Length of short notes, of their attacks and of the pauses behind them, in seconds. */
  private static final double SWELL_S = 0.3;

  private static final double RISES_S = 0.1;

  private static final double PAUSE_S = 0.25;

  /** Within this a knock falls by 8.7 dB, and the burst of a lip, in seconds. */
  private static final double KNOCK_S = 0.04;

  private static final double LIP_S = 0.02;

  @Test
  void aBurstBeforeTheToneIsNoNoteOfItsOwn() throws IOException {
    float[] take = room();
    for (int n = 0; n < NOTES; n++) {
      blow(take, 2 + EVERY_S * n, hertz(n));
    }
    assertEquals(NOTES, kept(take).size(), "notes");
  }

  /** Of noise, like that of a lip or a tongue: nobody plays two notes so fast. */
  @Test
  void aBurstRightBeforeTheToneIsItsAttack() throws IOException {
    float[] take = room();
    for (int n = 0; n < NOTES; n++) {
      knock(take, 2 + EVERY_S * n, AT_ONCE_S, LIP_S);
      hold(take, 2 + EVERY_S * n + AT_ONCE_S, hertz(n));
    }
    List<Region> kept = kept(take);
    assertEquals(NOTES, kept.size(), "notes");
    for (int n = 0; n < NOTES; n++) {
      double at = 2 + EVERY_S * n;
      assertEquals(at, (double) kept.get(n).onset() / RATE, 0.02, "note " + n);
    }
  }

  /** What is open is no note then. */
  @Test
  void aKnockRightBeforeANoteIsNoneOfIt() throws IOException {
    float[] take = room();
    for (int n = 0; n < NOTES; n++) {
      knock(take, 2 + EVERY_S * n, SOON_S, KNOCK_S);
      hold(take, 2 + EVERY_S * n + SOON_S, hertz(n));
    }
    List<Region> kept = kept(take);
    assertEquals(NOTES, kept.size(), "notes");
    for (int n = 0; n < NOTES; n++) {
      double at = 2 + EVERY_S * n + SOON_S;
      assertEquals(at, (double) kept.get(n).onset() / RATE, 0.03, "note " + n);
    }
  }

  /** A slow attack shows in the spectrum long after it has set in. */
  @Test
  void anAttackSoonBehindAnotherNoteIsNotCutInto() throws IOException {
    float[] take = room();
    double every = SWELL_S + PAUSE_S;
    for (int n = 0; n < 4 * NOTES; n++) {
      swell(take, 2 + every * n, hertz(n % NOTES));
    }
    List<Region> kept = kept(take);
    for (int n = 0; n < 4 * NOTES; n++) {
      // It reaches a hundredth of its amplitude within the lead-in of 10 ms.
      double at = 2 + every * n;
      boolean isWhole =
          kept.stream().anyMatch(r -> Math.abs((double) r.start() / RATE - at) < 0.003);
      assertTrue(isWhole, "note " + n + " of " + kept);
    }
  }

  /** A tone that rises as the square of time. */
  private static void swell(float[] take, double at, double hz) {
    int from = (int) (at * RATE);
    for (int i = 0; i < SWELL_S * RATE; i++) {
      double t = (double) i / RATE;
      double risen = Math.min(1, t / RISES_S);
      double loud = 0.2 * risen * risen * Math.min(1, (SWELL_S - t) / 0.03);
      for (int k = 1; k <= 4; k++) {
        take[from + i] += (float) (loud / (k * k) * Math.sin(2 * Math.PI * k * hz * t));
      }
    }
  }

  private static double hertz(int note) {
    return 260 * Math.pow(2, note / 6.0);
  }

  private static float[] room() {
    SplittableRandom random = new SplittableRandom(8);
    float[] take = new float[(int) ((3 + EVERY_S * NOTES) * RATE)];
    for (int i = 0; i < take.length; i++) {
      take[i] = (float) (2e-3 * (random.nextDouble() - 0.5));
    }
    return take;
  }

  private static List<Region> kept(float[] take) throws IOException {
    return Segment.apply(Clip.of(RATE, take).source(), SegmentSettings.forKind(Kind.PITCHED))
        .regions()
        .stream()
        .filter(region -> !region.rejected())
        .toList();
  }

  /** A burst of noise that dies away until the note behind it. */
  private static void knock(float[] take, double at, double seconds, double fallS) {
    SplittableRandom random = new SplittableRandom(9);
    int from = (int) (at * RATE);
    for (int i = 0; i < seconds * RATE; i++) {
      double loud = 0.15 * Math.exp(-(double) i / RATE / fallS);
      take[from + i] += (float) (loud * (2 * random.nextDouble() - 1));
    }
  }

  /** A tone that is there at once and is held. */
  private static void hold(float[] take, double at, double hz) {
    int from = (int) (at * RATE);
    for (int i = 0; i < NOTE_S * RATE; i++) {
      double t = (double) i / RATE;
      double loud = 0.1 * Math.min(1, t / 0.01) * Math.min(1, (NOTE_S - t) / 0.05);
      for (int k = 1; k <= 4; k++) {
        take[from + i] += (float) (loud / (k * k) * Math.sin(2 * Math.PI * k * hz * t));
      }
    }
  }

  private static void blow(float[] take, double at, double hz) {
    int from = (int) (at * RATE);
    for (int i = 0; i < NOTE_S * RATE; i++) {
      double t = (double) i / RATE;
      double db =
          t < 0.75 * BURST_S
              ? -FALLS_DB * t / (0.75 * BURST_S)
              : Math.min(1, -FALLS_DB + (FALLS_DB + 1) * (t - 0.75 * BURST_S) / (0.25 * BURST_S));
      double loud =
          0.1 * Math.pow(10, db / 20) * Math.min(1, t / 0.01) * Math.min(1, (NOTE_S - t) / 0.05);
      for (int k = 1; k <= 4; k++) {
        take[from + i] += (float) (loud / (k * k) * Math.sin(2 * Math.PI * k * hz * t));
      }
    }
  }
}
