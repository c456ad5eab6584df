package takewright.level;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;

/** On invented levels: an instrument's own curve, the dynamics' distances, and a player's hand. */
class LevelTest {
  private static final String[] DYNAMICS = {"p", "mf", "f"};
  private static final double[] DISTANCE = {0, 7, 12};

  /** An instrument that gets louder upwards by 0.2 dB a semitone, in a bow. */
  private static double natural(int midi) {
    double x = (midi - 60) / 24.0;
    return -32 + 4.8 * x - 3 * x * x;
  }

  private static List<Played> played(Random hand, double spreadDb, int notes, int dynamics) {
    List<Played> all = new ArrayList<>();
    for (int n = 0; n < notes; n++) {
      for (int d = 0; d < dynamics; d++) {
        for (int rr = 0; rr < 3; rr++) {
          double stray = spreadDb * (hand.nextDouble() - 0.5);
          double level = natural(48 + 2 * n) + DISTANCE[d] + stray;
          all.add(new Played(48 + 2 * n, DYNAMICS[d], level, level + 14));
        }
      }
    }
    return all;
  }

  private static double after(List<Played> played, List<NoteGain> gains, int i) {
    return played.get(i).levelLufs() + gains.get(i).gainDb();
  }

  @Property(tries = 100)
  void roundRobinsAreAlikeTheKeyboardSmoothAndTheDynamicsApart(
      @ForAll long seed, @ForAll @IntRange(min = 1, max = 30) int notes) {
    List<Played> played = played(new Random(seed), 4, notes, 3);
    List<NoteGain> gains = Level.apply(played, LevelSettings.DEFAULTS);
    double[] mean = new double[3];
    double[] before = new double[3];
    for (int i = 0; i < gains.size(); i++) {
      double after = after(played, gains, i);
      assertEquals(after(played, gains, i - i % 3), after, 1e-9, "round robins");
      if (!gains.get(i).limited()) {
        assertEquals(gains.get(i).curveLufs(), after, 0.5 + 1e-9, "on the curve");
      }
      assertTrue(played.get(i).peakDbtp() + gains.get(i).gainDb() <= -1 + 1e-9);
      mean[i / 3 % 3] += after / gains.size() * 3;
      before[i / 3 % 3] += played.get(i).levelLufs() / gains.size() * 3;
      if (i >= 9 && notes >= 6) {
        double step = after - after(played, gains, i - 9);
        double nature = natural(played.get(i).midi()) - natural(played.get(i - 9).midi());
        assertEquals(nature, step, 1, "a step along the keyboard");
      }
    }
    for (int d = 1; d < 3; d++) {
      assertEquals(before[d] - before[d - 1], mean[d] - mean[d - 1], 1, "distance of dynamics");
    }
  }

  @Property(tries = 50)
  void whatIsLevelIsLeftAlone(@ForAll @IntRange(min = 1, max = 30) int notes) {
    List<Played> played = played(new Random(1), 0, notes, 3);
    for (NoteGain gain : Level.apply(played, LevelSettings.DEFAULTS)) {
      assertEquals(0, gain.gainDb(), 0.3);
    }
  }

  @Test
  void aNoteThatStandsOutIsDrawnInAndBendsNothing() {
    List<Played> played = played(new Random(2), 0, 20, 1);
    for (int i = 30; i < 33; i++) {
      Played p = played.get(i);
      played.set(i, new Played(p.midi(), p.dynamic(), p.levelLufs() + 5, p.peakDbtp() + 5));
    }
    List<NoteGain> gains = Level.apply(played, LevelSettings.DEFAULTS);
    for (int i = 0; i < gains.size(); i++) {
      assertEquals(i / 3 == 10 ? -5 : 0, gains.get(i).gainDb(), 0.3, "sample " + i);
    }
  }

  @Test
  void noSampleIsDrawnFurtherThanStated() {
    List<Played> played = played(new Random(3), 4, 12, 2);
    Played stray = played.get(10);
    played.set(10, new Played(stray.midi(), stray.dynamic(), stray.levelLufs() - 15, -30));
    List<NoteGain> gains = Level.apply(played, new LevelSettings(3, 1, -1));
    for (int i = 0; i < gains.size(); i++) {
      assertTrue(Math.abs(gains.get(i).gainDb()) <= 3 + 1e-9);
      assertEquals(i == 10, gains.get(i).limited(), "sample " + i);
    }
  }

  @Test
  void onePeakTooHighLowersTheWholeArticulationAlike() {
    List<Played> played = played(new Random(4), 0, 8, 2);
    List<NoteGain> quiet = Level.apply(played, LevelSettings.DEFAULTS);
    Played p = played.get(5);
    played.set(5, new Played(p.midi(), p.dynamic(), p.levelLufs(), 2));
    List<NoteGain> lowered = Level.apply(played, LevelSettings.DEFAULTS);
    for (int i = 0; i < lowered.size(); i++) {
      double down = lowered.get(5).gainDb() - quiet.get(5).gainDb();
      assertEquals(down, lowered.get(i).gainDb() - quiet.get(i).gainDb(), 1e-9);
    }
    assertEquals(-1, 2 + lowered.get(5).gainDb(), 1e-9);
  }

  @Test
  void hitsHaveNoKeyboardButRoundRobins() {
    List<Played> played = new ArrayList<>();
    for (double level : new double[] {-20, -23, -21, Double.NaN}) {
      played.add(new Played(null, "mf", level, -10));
    }
    List<NoteGain> gains = Level.apply(played, LevelSettings.DEFAULTS);
    for (int i = 0; i < 3; i++) {
      assertEquals(after(played, gains, 0), after(played, gains, i), 1e-9);
      assertEquals(-21.3, after(played, gains, i), 0.3);
    }
    assertEquals(0, gains.get(3).gainDb(), 1e-9);
    assertTrue(Double.isNaN(gains.get(0).curveLufs()));
  }
}
