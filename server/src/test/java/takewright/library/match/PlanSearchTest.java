package takewright.library.match;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.ShrinkingMode;
import org.junit.jupiter.api.Test;
import takewright.library.match.OtherPlan.Difference;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.SheetException;
import takewright.sheet.Take;
import takewright.sheet.read.SheetReader;

/** Plans held against regions as a take gives them; whole builds are in PlansThatDoNotFitTest. */
class PlanSearchTest {
  private static final int RATE = 48_000;

  /** MIDI note numbers G3 to C7, in five steps to the octave. */
  private static final List<Integer> FIVE_STEPS =
      List.of(55, 57, 60, 64, 67, 69, 72, 76, 79, 81, 84, 88, 91, 93, 96);

  private final List<Region> regions = new ArrayList<>();
  private long at = 3 * RATE;

  private void played(int midi, double seconds, double pauseS) {
    long end = at + (long) (seconds * RATE);
    Pitch pitch = new Pitch(midi, 0, 440, 0.95);
    regions.add(new Region(at, at + 480, end, Kind.PITCHED, pitch, 1, false, Set.of(), -12, -20));
    at = end + (long) (pauseS * RATE);
  }

  /** What a sheet that asks for these notes is doubted for; null if it fits. */
  private OtherPlan doubt(List<Integer> asked) throws SheetException {
    return doubt(asked, 1);
  }

  private OtherPlan doubt(List<Integer> asked, int roundRobins) throws SheetException {
    String text = "library: Larkfell\ntakes: [{file: a.wav, articulation: a, notes: [A4]}]\n";
    Sheet sheet = SheetReader.read(Path.of("sheet.yaml"), text);
    Take take = sheet.takes().get(0);
    take = take.played(asked, take.order()).repeated(roundRobins);
    Matching own = TakeAlignment.match(regions, sheet.cells(take), RATE);
    return PlanSearch.find(sheet, take, regions, own, RATE, true);
  }

  private static List<Integer> moved(List<Integer> notes, int semitones) {
    return notes.stream().map(midi -> midi + semitones).toList();
  }

  private void assertDoubted(List<Integer> played, int semitones) throws SheetException {
    OtherPlan plan = doubt(moved(played, semitones));
    assertEquals(Difference.SHIFT, plan.difference(), "moved by " + semitones);
    assertEquals(played, plan.fits().notes());
  }

  /** Each third note is begun a whole tone too high, and broken off, before it is played. */
  @Test
  void aShiftIsFoundAlthoughManyAttemptsWentWrong() throws SheetException {
    for (int i = 0; i < FIVE_STEPS.size(); i++) {
      if (i % 3 == 0) {
        played(FIVE_STEPS.get(i) + 2, 0.6, 0.5);
      }
      played(FIVE_STEPS.get(i), 3, 2);
    }
    for (int semitones : new int[] {12, -12, 24, 1, -1, 7}) {
      assertDoubted(FIVE_STEPS, semitones);
    }
    assertNull(doubt(FIVE_STEPS));
  }

  @Test
  void fiveNotesInTheirOrderShowAShift() throws SheetException {
    List<Integer> notes = List.of(55, 58, 60, 63, 66);
    notes.forEach(midi -> played(midi, 3, 2));
    assertDoubted(notes, 12);
    assertDoubted(notes, -1);
    regions.remove(4);
    assertNull(doubt(moved(notes, 12)), "four may be anything");
  }

  /** Five of eight second round robins are missing: three that are there were meant. */
  @Test
  void missingRoundRobinsAreNoOtherPlan() throws SheetException {
    List<Integer> notes = List.of(48, 54, 60, 66, 72, 78, 84, 90);
    notes.forEach(midi -> played(midi, 3, 2));
    assertEquals(Difference.ROUND_ROBINS, doubt(notes, 2).difference());
    regions.clear();
    for (int midi : notes) {
      played(midi, 3, 2);
      if (midi == 60 || midi == 66 || midi == 72) {
        played(midi, 3, 2);
      }
    }
    assertNull(doubt(notes, 2));
  }

  /** Notes left out, played twice, or begun on another note make no other plan of a right one. */
  @Property(tries = 30, shrinking = ShrinkingMode.OFF)
  void aRightPlanIsNeverDoubted(@ForAll long seed) throws SheetException {
    regions.clear(); // one instance of the class serves all tries
    SplittableRandom random = new SplittableRandom(seed);
    List<Integer> asked = new ArrayList<>();
    int midi = 40 + random.nextInt(20);
    int widest = 1 + random.nextInt(4);
    for (int n = 6 + random.nextInt(20); n > 0; n--) {
      asked.add(midi);
      midi += 1 + random.nextInt(widest);
    }
    for (int note : asked) {
      if (random.nextDouble() < 0.15) {
        continue;
      }
      if (random.nextDouble() < 0.3) {
        played(note + random.nextInt(-3, 4), 0.6, 0.5);
      }
      for (int times = random.nextDouble() < 0.2 ? 2 : 1; times > 0; times--) {
        played(note, 3, 2);
      }
    }
    assertNull(doubt(asked));
  }
}
