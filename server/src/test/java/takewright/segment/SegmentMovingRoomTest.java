package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/** Rooms that move by themselves: made noise whose level wanders, knocks, or drops for good. */
class SegmentMovingRoomTest {
  private static final int RATE = 48_000;

  private enum Room {
    WANDERS,
    THUDS,
    IS_SWITCHED_OFF,
    FADES_IN
  }

  /** Noise of a room, full scale at ±1: about -58 dBFS. */
  private static float[] room(Room room, double seconds, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    float[] x = new float[(int) (seconds * RATE)];
    double low = 0;
    double gain = 0;
    double thud = 0;
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / RATE;
      double white = random.nextDouble() * 2 - 1;
      low += 0.03 * (white - low);
      if (i % 4800 == 0) {
        gain = 0.9 * gain + 0.8 * (random.nextDouble() * 2 - 1);
        thud = random.nextInt(8) == 0 ? 3 : thud;
      }
      thud *= 1 - 1 / (0.03 * RATE);
      double level =
          switch (room) {
            case WANDERS -> Math.pow(10, 1.3 * gain / 20);
            case THUDS -> 1 + thud;
            case IS_SWITCHED_OFF -> t < seconds / 2 ? 1 : 0.25;
            case FADES_IN -> Math.min(1, t / 0.6);
          };
      x[i] = (float) (level * (0.008 * low + 0.0004 * white));
    }
    return x;
  }

  private static List<Region> cut(float[] x) throws IOException {
    return Segment.apply(Clip.of(RATE, x).source(), SegmentSettings.forKind(Kind.PITCHED))
        .regions();
  }

  /** The bar of the design is fewer than 0.1 a minute; here are two minutes of each. */
  @ParameterizedTest
  @ValueSource(strings = {"WANDERS", "THUDS", "IS_SWITCHED_OFF", "FADES_IN"})
  void aRoomWithoutANoteHasNone(String name) throws IOException {
    List<Region> regions = cut(room(Room.valueOf(name), 120, 3));
    assertEquals(0, regions.stream().filter(region -> !region.rejected()).count(), "" + regions);
  }

  /** By the design's bars for recorded rooms. */
  @ParameterizedTest
  @ValueSource(strings = {"WANDERS", "THUDS", "IS_SWITCHED_OFF", "FADES_IN"})
  void aNoteBeginsAndEndsWithItsSound(String name) throws IOException {
    float[] x = room(Room.valueOf(name), 40, 5);
    for (int n = 0; n < 8; n++) {
      add(x, 3 + 4.5 * n, 2.5, 220 * Math.pow(2, n / 6.0), 0.1);
    }
    List<Region> kept = cut(x).stream().filter(region -> !region.rejected()).toList();
    assertEquals(8, kept.size(), "" + kept);
    int far = 0;
    for (int n = 0; n < 8; n++) {
      double onset = (double) kept.get(n).onset() / RATE - (3 + 4.5 * n);
      double end = (double) kept.get(n).end() / RATE - (5.5 + 4.5 * n);
      far += Math.abs(onset) > 0.02 ? 1 : 0;
      assertTrue(Math.abs(onset) <= 0.1, "note " + n + " begins " + onset + " s off");
      far += end > 1.5 ? 1 : 0;
      assertTrue(end >= -0.03 && end <= 2, "note " + n + " ends " + end + " s off");
    }
    assertTrue(far <= 1, far + " of 8 notes begin more than 20 ms or end more than 1.5 s off");
  }

  /** Low plucked strings that ring into each other for half a minute; only then is it quiet. */
  @Test
  void notesThatRingOnAreNotTheRoom() throws IOException {
    float[] x = room(Room.WANDERS, 52, 13);
    int notes = 10;
    for (int n = 0; n < notes; n++) {
      PluckedString.add(x, RATE, 0.2, 3 + 4 * n, 4.6, 82.4 * Math.pow(2, n / 12.0));
    }
    List<Region> kept = cut(x).stream().filter(region -> !region.rejected()).toList();
    assertEquals(notes, kept.size(), "" + kept);
    for (int n = 0; n < notes; n++) {
      double end = n + 1 < notes ? 3 + 4 * (n + 1) : 3 + 4 * n + 4.6;
      assertEquals(end, (double) kept.get(n).end() / RATE, n + 1 < notes ? 0.05 : 1, "note " + n);
    }
  }

  /** A second stroke after four seconds of ringing is a note, and no tail is cut before it. */
  @Test
  void aStringThatStillRingsIsPluckedAgain() throws IOException {
    float[] x = room(Room.WANDERS, 40, 13);
    double[] at = {3, 7, 16, 18.2, 29, 31.2};
    for (int n = 0; n < at.length; n++) {
      PluckedString.add(x, RATE, 0.2, at[n], 4.6, 82.4 * Math.pow(2, n / 2 / 12.0));
    }
    List<Region> kept = cut(x).stream().filter(region -> !region.rejected()).toList();
    assertEquals(at.length, kept.size(), "" + kept);
    for (int n = 0; n < at.length; n++) {
      assertEquals(at[n], (double) kept.get(n).onset() / RATE, 0.02, "note " + n);
      double end = (double) kept.get(n).end() / RATE;
      if (n % 2 == 0) {
        assertEquals(at[n + 1], end, 0.05, "note " + n);
      } else {
        assertTrue(end > at[n] + 4.55 && end < at[n] + 6.6, "note " + n + " ends at " + end);
      }
    }
  }

  /** Between low notes that die away slowly the room is heard for half a second at a time. */
  @Test
  void lowNotesThatDieAwayAreHeardToTheirEnd() throws IOException {
    float[] x = room(Room.WANDERS, 64, 17);
    int notes = 6;
    double period = 9.6;
    for (int n = 0; n < notes; n++) {
      int from = (int) ((3 + period * n) * RATE);
      for (int i = 0; i < 9 * RATE; i++) {
        double t = (double) i / RATE;
        double sum = 0;
        for (int k = 1; k <= 12; k++) {
          double dies = Math.exp(-Math.max(0, t - 3) * (0.6 + 0.5 * k));
          sum += dies / k * Math.sin(2 * Math.PI * k * 46.2 * Math.pow(2, n / 12.0) * t + k * k);
        }
        x[from + i] += (float) (0.15 * Math.min(1, Math.min(t / 0.02, (9 - t) / 0.05)) * sum);
      }
    }
    List<Region> kept = cut(x).stream().filter(region -> !region.rejected()).toList();
    assertEquals(notes, kept.size(), "" + kept);
    for (int n = 0; n < notes; n++) {
      // The fundamental has fallen by 36 dB then, to -55 dBFS: 3 dB above the room.
      double silent = 3 + period * n + 3 + 36 / (20 * Math.log10(Math.E) * 1.1);
      double end = (double) kept.get(n).end() / RATE;
      assertTrue(end >= silent - 0.03, "note " + n + " is cut " + (silent - end) + " s early");
    }
  }

  /** A step or a rail joint in the short pause between two notes is not where the second begins. */
  @Test
  void aThudJustBeforeANoteIsNoneOfIt() throws IOException {
    float[] x = room(Room.IS_SWITCHED_OFF, 40, 9);
    double at = 3;
    double[] onsets = new double[10];
    for (int n = 0; n < onsets.length; n++) {
      onsets[n] = at;
      add(x, at, 2.4, 196 * Math.pow(2, n / 6.0), 0.1);
      at += 2.4 + 0.33;
      thud(x, at - 0.14, 0.012, n);
    }
    assertOnsets(x, onsets, 0.02);
  }

  /** That the notes kept are those that set in at some seconds, found within a tolerance. */
  private static void assertOnsets(float[] x, double[] onsets, double toleranceS)
      throws IOException {
    List<Region> kept = cut(x).stream().filter(region -> !region.rejected()).toList();
    assertEquals(onsets.length, kept.size(), "" + kept);
    for (int n = 0; n < onsets.length; n++) {
      assertEquals(onsets[n], (double) kept.get(n).onset() / RATE, toleranceS, "note " + n);
    }
  }

  /** Nor is one whose end all but runs into a note, if it leaves a few of its periods free. */
  @ParameterizedTest
  @ValueSource(doubles = {0.02, 0.03, 0.04})
  void aThudAFewPeriodsBeforeANoteIsNoneOfIt(double level) throws IOException {
    float[] x = room(Room.FADES_IN, 40, 9);
    double[] onsets = {5, 11, 17, 23, 29, 35};
    for (int n = 0; n < onsets.length; n++) {
      add(x, onsets[n], 2.4, 392 * Math.pow(2, n / 6.0), 0.1);
      thud(x, onsets[n] - 0.045, level, n);
    }
    assertOnsets(x, onsets, 0.005);
  }

  /** A rattle that goes on up to a note, like rail joints, is not where the note begins. */
  @Test
  void aRattleThatGoesOnUpToANoteIsNoneOfIt() throws IOException {
    float[] x = room(Room.IS_SWITCHED_OFF, 40, 9);
    double[] onsets = {5, 11, 17, 23, 29, 35};
    for (int n = 0; n < onsets.length; n++) {
      add(x, onsets[n], 2.4, 196 * Math.pow(2, n / 6.0), 0.1);
      for (int k = 0; k < 3; k++) {
        thud(x, onsets[n] - 0.13 - 0.01 * n - 0.2 * k, 0.02, n);
      }
    }
    assertOnsets(x, onsets, 0.02);
  }

  /** Nor where a note begins softly, behind a rattle of nearly two seconds. */
  @Test
  void aLongRattleBeforeASoftAttackIsNoneOfTheNote() throws IOException {
    float[] x = room(Room.IS_SWITCHED_OFF, 40, 9);
    double[] onsets = {5, 11, 17, 23, 29, 35};
    for (int n = 0; n < onsets.length; n++) {
      swell(x, onsets[n], 2.4, 196 * Math.pow(2, n / 6.0), 0.25, -30);
      for (int k = 0; k < 15; k++) {
        thud(x, onsets[n] - 0.15 - 0.01 * n - 0.12 * k, 0.02, n);
      }
    }
    assertOnsets(x, onsets, 0.04);
  }

  /** A note may take seconds to reach its full level: its soft beginning is no noise before it. */
  @Test
  void aNoteThatSwellsForSecondsBeginsWithItsFirstSound() throws IOException {
    float[] x = room(Room.IS_SWITCHED_OFF, 30, 9);
    double[] onsets = {3, 12, 21};
    for (int n = 0; n < onsets.length; n++) {
      swell(x, onsets[n], 5, 196 * Math.pow(2, n / 6.0), 2.5, -35);
    }
    assertOnsets(x, onsets, 0.02);
  }

  /**
   * Adds a tone that begins so far below its full level, in dB, and rises to it in some seconds.
   */
  private static void swell(
      float[] x, double atS, double seconds, double hertz, double risesS, double fromDb) {
    float[] note = new float[x.length];
    add(note, atS, seconds, hertz, 0.1);
    for (int i = (int) (atS * RATE); i < x.length; i++) {
      double risen = Math.min(1, (i - atS * RATE) / (risesS * RATE));
      x[i] += (float) (note[i] * Math.pow(10, fromDb * (1 - risen) / 20));
    }
  }

  /** What swells once a note has died away, in a band that it had left by then, is the room. */
  @Test
  void whatSwellsOnceANoteHasDiedAwayIsNoneOfIt() throws IOException {
    float[] x = room(Room.IS_SWITCHED_OFF, 100, 15);
    int notes = 8;
    for (int n = 0; n < notes; n++) {
      double at = 3 + 12 * n;
      add(x, at, 3, 587 * Math.pow(2, n / 12.0), 0.1);
      thud(x, at, 0.05, n);
    }
    // A rumble, too soft to start a sound, for a second.
    SplittableRandom random = new SplittableRandom(4);
    double low = 0;
    double lower = 0;
    int from = (int) (42.1 * RATE);
    for (int i = 0; i < 1.2 * RATE; i++) {
      low += 0.01 * (random.nextDouble() * 2 - 1 - low);
      lower += 0.01 * (low - lower);
      x[from + i] += (float) (0.03 * lower * Math.sin(Math.PI * i / (1.2 * RATE)));
    }
    List<Region> kept = cut(x).stream().filter(region -> !region.rejected()).toList();
    assertEquals(notes, kept.size(), "" + kept);
    for (int n = 0; n < notes; n++) {
      double end = (double) kept.get(n).end() / RATE - (6 + 12 * n);
      assertTrue(end >= -0.03 && end <= 1, "note " + n + " ends " + end + " s off");
    }
  }

  /** A bow is heard before the string speaks: by the design no attack may be cut into. */
  @Test
  void theNoiseThatANoteBeginsWithIsPartOfIt() throws IOException {
    float[] x = room(Room.IS_SWITCHED_OFF, 40, 11);
    SplittableRandom random = new SplittableRandom(2);
    for (int n = 0; n < 6; n++) {
      int from = (3 + 5 * n) * RATE;
      add(x, 3.02 + 5 * n, 2.5, 440 * Math.pow(2, n / 6.0), 0.1);
      double before = 0;
      for (int i = 0; i < RATE / 50; i++) {
        double white = random.nextDouble() * 2 - 1;
        x[from + i] += (float) (0.004 * (white - before));
        before = white;
      }
    }
    List<Region> kept = cut(x).stream().filter(region -> !region.rejected()).toList();
    assertEquals(6, kept.size(), "" + kept);
    for (int n = 0; n < 6; n++) {
      double start = (double) kept.get(n).start() / RATE;
      assertTrue(start <= 3.001 + 5 * n, "note " + n + " starts at " + start);
    }
  }

  /** A soft knock of the floor, full scale at ±1. */
  private static void thud(float[] x, double atS, double level, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    double low = 0;
    for (int i = 0; i < 0.08 * RATE; i++) {
      low += 0.05 * (random.nextDouble() * 2 - 1 - low);
      x[(int) (atS * RATE) + i] +=
          (float) (level * 6 * low * Math.exp(-i / (0.012 * RATE)) * Math.min(1, i / 96.0));
    }
  }

  /** A hiss in a note is heard beside it. */
  @Test
  void whatGoesWrongInANoteIsMeasured() throws IOException {
    float[] x = room(Room.FADES_IN, 40, 7);
    for (int n = 0; n < 2; n++) {
      add(x, 3 + 6 * n, 3, 440, 0.1);
    }
    SplittableRandom random = new SplittableRandom(1);
    for (int i = 0; i < RATE / 5; i++) {
      double shape = Math.sin(Math.PI * i / (RATE / 5.0));
      x[10 * RATE + i] += (float) (0.05 * shape * (random.nextDouble() * 2 - 1));
    }
    List<Region> kept = cut(x).stream().filter(region -> !region.rejected()).toList();
    assertEquals(2, kept.size(), "" + kept);
    assertTrue(kept.get(0).blemishes().beside().dbS() < 0.1, "" + kept.get(0));
    assertTrue(kept.get(1).blemishes().beside().dbS() > 0.5, "" + kept.get(1));
  }

  /** Adds a tone of six falling partials. */
  private static void add(float[] x, double atS, double seconds, double hertz, double level) {
    int from = (int) (atS * RATE);
    int n = (int) (seconds * RATE);
    for (int i = 0; i < n; i++) {
      double ends = Math.min(1, Math.min(i / (0.004 * RATE), (n - i) / (0.03 * RATE)));
      for (int k = 1; k <= 6; k++) {
        x[from + i] +=
            (float) (ends * level / k * Math.sin(2 * Math.PI * k * hertz * i / RATE + k * k));
      }
    }
  }
}
