package takewright.library.match;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellName;
import takewright.sheet.cell.CellStatus;

class TakeAlignmentTest {
  private static final int RATE = 48_000;

  private final List<Region> regions = new ArrayList<>();
  private long at = 3 * RATE;

  /** A note of three seconds and a pause of two. */
  private TakeAlignmentTest played(int midi, double cents, double levelDbfs) {
    return played(midi, cents, levelDbfs, false);
  }

  private TakeAlignmentTest played(int midi, double cents, double levelDbfs, boolean rejected) {
    Pitch pitch = rejected ? null : new Pitch(midi, cents, 440, 1);
    regions.add(
        new Region(
            at,
            at + 480,
            at + 3L * RATE,
            Kind.PITCHED,
            pitch,
            1,
            rejected,
            Set.of(),
            levelDbfs + 8,
            levelDbfs));
    at += 5L * RATE;
    return this;
  }

  private static List<Cell> cells(List<Integer> notes, List<String> dynamics, int roundRobins) {
    List<Cell> cells = new ArrayList<>();
    for (int note : notes) {
      for (String dynamic : dynamics) {
        for (int rr = 1; rr <= roundRobins; rr++) {
          cells.add(new Cell(0, "sustain", note, dynamic, rr));
        }
      }
    }
    return cells;
  }

  private List<String> result(List<Cell> cells) {
    Matching matching = TakeAlignment.match(regions, cells, RATE);
    List<String> lines = new ArrayList<>();
    for (int i = 0; i < regions.size(); i++) {
      int c = matching.cells()[i];
      Cell cell = c < 0 ? null : cells.get(c);
      String status = matching.statuses().get(i).name().toLowerCase(java.util.Locale.ROOT);
      lines.add(cell == null ? status : status + " " + cell.midi() + cell.dynamic() + cell.rr());
    }
    for (int c : matching.missing()) {
      lines.add("missing " + cells.get(c).midi() + cells.get(c).dynamic() + cells.get(c).rr());
    }
    return lines;
  }

  /** Before the next note is played nothing else tells that a creak is none; a person may. */
  @Test
  void whileATakeIsRecordedASoundFarBelowItsNotesFillsNoCell() {
    List<Cell> cells = cells(List.of(60, 61, 62, 63, 64), List.of("mf"), 1);
    played(60, 0, -20).played(61, 0, -22).played(62, 0, -18).played(63, 0, -44);
    assertEquals(
        List.of(CellStatus.KEPT, CellStatus.KEPT, CellStatus.KEPT, CellStatus.EXTRA),
        TakeAlignment.match(regions, cells, RATE, false).statuses());
    Region soft = regions.remove(3);
    regions.add(soft.marked(false, Set.of(Flag.FORCED)));
    assertEquals(
        CellStatus.KEPT, TakeAlignment.match(regions, cells, RATE, false).statuses().get(3));
    regions.remove(3);
    played(63, 0, -41);
    assertEquals(
        CellStatus.KEPT, TakeAlignment.match(regions, cells, RATE, false).statuses().get(3));
    assertEquals(
        CellStatus.KEPT,
        TakeAlignment.match(List.of(soft), cells, RATE, false).statuses().get(0),
        "the only one");
  }

  /**
   * Its order cannot say either: a click that has a missing note's pitch would be it, come late.
   */
  @Test
  void inATakeThatIsOverASoundFarBelowItsNotesFillsNoCell() {
    List<Cell> cells = cells(List.of(60, 62, 64, 65), List.of("mf"), 1);
    for (double levelDbfs : new double[] {-41, -44}) {
      regions.clear();
      played(60, 0, -20).played(65, 0, levelDbfs).played(62, 0, -22).played(64, 0, -20);
      boolean isNote = levelDbfs > -42;
      List<String> lines = result(cells);
      assertEquals(isNote ? "kept 65mf1" : "extra", lines.get(1));
      assertEquals(isNote ? 4 : 5, lines.size(), lines.toString());
    }
  }

  /** A softer dynamic may lie so far below. */
  @Test
  void whileATakeIsRecordedDynamicsLieFurtherApart() {
    List<Cell> cells = cells(List.of(60, 61), List.of("f", "p"), 1);
    played(60, 0, -10).played(60, 0, -40).played(61, 0, -10);
    List<CellStatus> all = List.of(CellStatus.KEPT, CellStatus.KEPT, CellStatus.KEPT);
    assertEquals(all, TakeAlignment.match(regions, cells, RATE, false).statuses());
  }

  @Test
  void whatWasPlayedAsPlannedFillsEveryCell() {
    played(60, 3, -25).played(60, -4, -15).played(62, 0, -26).played(62, 9, -16);
    assertEquals(
        List.of("kept 60p1", "kept 60f1", "kept 62p1", "kept 62f1"),
        result(cells(List.of(60, 62), List.of("p", "f"), 1)));
  }

  @Test
  void aMissingNoteDoesNotShiftTheRest() {
    played(60, 0, -20).played(64, 0, -20).played(65, 0, -20);
    assertEquals(
        List.of("kept 60mf1", "kept 64mf1", "kept 65mf1", "missing 62mf1"),
        result(cells(List.of(60, 62, 64, 65), List.of("mf"), 1)));
  }

  @Test
  void ofTwoAttemptsTheLaterIsKept() {
    played(60, 0, -20).played(62, 0, -20).played(62, 5, -20).played(64, 0, -20);
    assertEquals(
        List.of("kept 60mf1", "retake 62mf1", "kept 62mf1", "kept 64mf1"),
        result(cells(List.of(60, 62, 64), List.of("mf"), 1)));
  }

  /** Both attempts at its first note are loud: that the soft one is missing its neighbours tell. */
  @Test
  void aNoteThatWasPlayedAtOneDynamicAloneIsToldByItsNeighbours() {
    played(60, 0, -17).played(60, 0, -19);
    for (int midi = 62; midi <= 66; midi += 2) {
      played(midi, 0, -25).played(midi, 0, -17);
    }
    List<String> lines = result(cells(List.of(60, 62, 64, 66), List.of("p", "f"), 1));
    assertEquals(List.of("retake 60f1", "kept 60f1"), lines.subList(0, 2), lines.toString());
    assertEquals("missing 60p1", lines.get(8));
  }

  /** A soft note is missing and only its level tells so: the loud ones keep their cells. */
  @Test
  void levelTellsWhichDynamicIsMissing() {
    played(60, 0, -25).played(60, 0, -25).played(60, 0, -15).played(60, 0, -15);
    played(62, 0, -26).played(62, 0, -16).played(62, 0, -16);
    played(64, 0, -24).played(64, 0, -24).played(64, 0, -14).played(64, 0, -14);
    List<String> lines = result(cells(List.of(60, 62, 64), List.of("p", "f"), 2));
    assertEquals(
        List.of("kept 62p1", "kept 62f1", "kept 62f2"), lines.subList(4, 7), lines.toString());
    assertEquals("missing 62p2", lines.get(11));
  }

  /** A knock made the first loud attempt softer: the second is louder than both led to expect. */
  @Test
  void theRightNoteIsAnotherAttemptHoweverLoud() {
    played(60, 0, -31).played(60, 0, -25).played(61, 0, -34);
    at += 10L * RATE; // talk
    played(61, 0, -26.5).played(61, 0, -21.5);
    played(62, 0, -31).played(62, 0, -25);
    assertEquals(
        List.of("kept 61p1", "retake 61f1", "kept 61f1"),
        result(cells(List.of(60, 61, 62), List.of("p", "f"), 1)).subList(2, 5));
  }

  @Test
  void aNoteThatNobodyAskedForIsExtra() {
    played(60, 0, -20).played(61, 0, -20).played(62, 0, -20);
    assertEquals(
        List.of("kept 60mf1", "extra", "kept 62mf1"),
        result(cells(List.of(60, 62), List.of("mf"), 1)));
  }

  /** The player goes back at the end of the take for the note that was forgotten. */
  @Test
  void aNotePlayedLateFillsItsCell() {
    played(60, 0, -20).played(64, 0, -20).played(65, 0, -20).played(62, 0, -20);
    assertEquals(
        List.of("kept 60mf1", "kept 64mf1", "kept 65mf1", "kept 62mf1"),
        result(cells(List.of(60, 62, 64, 65), List.of("mf"), 1)));
  }

  /** Heard surely two octaves too low, or at another time as well: then it is another note. */
  @Test
  void whatMerelySharesTheNameOfAMissingNoteDoesNotFillItsCell() {
    played(60, 0, -20).played(38, 0, -20).played(64, 0, -20);
    assertEquals(
        List.of("kept 60mf1", "extra", "kept 64mf1", "missing 62mf1"),
        result(cells(List.of(60, 62, 64), List.of("mf"), 1)));
    regions.clear();
    played(60, 0, -20).played(64, 0, -20).played(65, 0, -20).played(74, 0, -20);
    assertEquals(
        List.of("kept 60mf1", "kept 64mf1", "kept 65mf1", "extra", "missing 62mf1"),
        result(cells(List.of(60, 62, 64, 65), List.of("mf"), 1)));
  }

  @Test
  void anOctaveSlipOfTheEarDoesNotLoseTheNote() {
    played(60, 0, -20).played(74, 0, -20).played(64, 0, -20);
    assertEquals(
        List.of("kept 60mf1", "kept 62mf1", "kept 64mf1"),
        result(cells(List.of(60, 62, 64), List.of("mf"), 1)));
  }

  @Test
  void rejectedRegionsFillNothingAndNothingPlayedLeavesAllMissing() {
    played(60, 0, -20, true);
    assertEquals(
        List.of("rejected", "missing 60mf1"), result(cells(List.of(60), List.of("mf"), 1)));
    regions.clear();
    assertEquals(
        List.of("missing 60mf1", "missing 62mf1"),
        result(cells(List.of(60, 62), List.of("mf"), 1)));
  }

  private void staccato(Integer midi, double confidence, double seconds, double levelDbfs) {
    long end = at + (long) (seconds * RATE);
    Pitch pitch = midi == null ? null : new Pitch(midi, 0, 440, confidence);
    Set<Flag> flags = midi == null ? Set.of(Flag.NO_PITCH) : Set.of();
    regions.add(
        new Region(
            at, at + 480, end, Kind.PITCHED, pitch, 1, midi == null, flags, levelDbfs, levelDbfs));
    at = end + 2L * RATE;
  }

  /**
   * A low staccato may be over before it has a pitch. As long and as loud as the others it fills
   * the cell that is else missing; a knock, shorter and softer, does not.
   */
  @Test
  void aShortNoteWithoutAPitchIsBelievedWhereACellIsEmpty() {
    staccato(40, 0.9, 0.5, -20);
    staccato(null, 0, 0.5, -20);
    staccato(null, 0, 0.28, -32);
    staccato(44, 0.9, 0.5, -20);
    assertEquals(
        List.of("kept 40mf1", "kept 42mf1", "rejected", "kept 44mf1"),
        result(cells(List.of(40, 42, 44), List.of("mf"), 1)));
  }

  /**
   * Where the votes hardly agreed, the order says more than the pitch; where they did, it does not.
   */
  @Test
  void anUnsurePitchYieldsToTheOrderAndASureOneDoesNot() {
    staccato(40, 0.9, 0.5, -20);
    staccato(31, 0.45, 0.5, -20);
    staccato(44, 0.9, 0.5, -20);
    List<Cell> cells = cells(List.of(40, 42, 44), List.of("mf"), 1);
    assertEquals(List.of("kept 40mf1", "kept 42mf1", "kept 44mf1"), result(cells));
    regions.clear();
    staccato(40, 0.9, 0.5, -20);
    staccato(31, 0.9, 0.5, -20);
    staccato(44, 0.9, 0.5, -20);
    assertEquals(List.of("kept 40mf1", "extra", "kept 44mf1", "missing 42mf1"), result(cells));
  }

  /** A note above the lowest is misheard by octaves and twelfths alone. */
  @Test
  void anUnsurePitchOfAHighNoteIsItsOwnOrARelatedOne() {
    for (int heard : new int[] {54, 47, 57}) {
      regions.clear();
      staccato(64, 0.9, 0.5, -20);
      staccato(heard, 0.45, 0.5, -20);
      staccato(68, 0.9, 0.5, -20);
      List<String> lines = result(cells(List.of(64, 66, 68), List.of("mf"), 1));
      assertEquals(heard == 57 ? "extra" : "kept 66mf1", lines.get(1), lines.toString());
    }
  }

  /**
   * A word in which a vowel passes for another note fills no cell of a take whose notes are sure.
   */
  @Test
  void anUnsureWordDoesNotFillTheCellOfAMissingNote() {
    for (int midi : new int[] {60, 62, 64, 66}) {
      staccato(midi, 0.9, 0.5, -20);
    }
    staccato(57, 0.45, 0.3, -26);
    staccato(70, 0.9, 0.5, -20);
    List<String> lines = result(cells(List.of(60, 62, 64, 66, 68, 70), List.of("mf"), 1));
    assertEquals("extra", lines.get(4), lines.toString());
  }

  /** A player is a little louder at three dynamics of a note, the last of which is played again. */
  @Test
  void aLouderNoteKeepsItsDynamics() {
    for (int midi : new int[] {60, 62, 64}) {
      played(midi, 0, -32).played(midi, 0, -25).played(midi, 0, -16);
    }
    played(66, 0, -34.7).played(66, 0, -26.1).played(66, 0, -16.4).played(66, 0, -15.3);
    List<String> lines = result(cells(List.of(60, 62, 64, 66), List.of("p", "mf", "f"), 1));
    assertEquals(
        List.of("kept 66p1", "kept 66mf1", "retake 66f1", "kept 66f1"), lines.subList(9, 13));
  }

  /** Of hits that are alike and one sound that is not, the odd one is left out. */
  @Test
  void theHitUnlikeTheOthersIsLeftOut() {
    List<Cell> cells = new ArrayList<>();
    for (int rr = 1; rr <= 5; rr++) {
      cells.add(new Cell(0, "hit", null, "mf", rr));
      regions.add(hit(at, 0.5, -6));
      at += 2 * RATE;
      if (rr == 3) {
        regions.add(hit(at, 1.6, -20));
        at += 3 * RATE;
      }
    }
    Matching matching = TakeAlignment.match(regions, cells, RATE);
    assertEquals(CellStatus.EXTRA, matching.statuses().get(3));
    assertEquals(List.of(), matching.missing());
  }

  private static Region hit(long at, double seconds, double peak) {
    long end = at + (long) (seconds * RATE);
    return new Region(at, at + 480, end, Kind.UNPITCHED, null, 1, false, Set.of(), peak, peak - 9);
  }

  /** A note of this length, in seconds, and a pause. */
  private TakeAlignmentTest sounding(int midi, double seconds, double pauseS, Flag... flags) {
    Set<Flag> all = Flags.of(flags);
    boolean rejected = all.contains(Flag.TALK) || all.contains(Flag.DROPPED);
    long end = at + (long) (seconds * RATE);
    Pitch pitch = rejected || midi == 0 ? null : new Pitch(midi, 0, 440, 1);
    regions.add(new Region(at, at + 480, end, Kind.PITCHED, pitch, 1, rejected, all, -12, -20));
    at = end + (long) (pauseS * RATE);
    return this;
  }

  private boolean falseStart(List<Cell> cells, int region) {
    return TakeAlignment.match(regions, cells, RATE).isFalseStart(region, regions);
  }

  @Test
  void aNoteBrokenOffAndBegunAgainIsAFalseStart() {
    sounding(60, 3, 2).sounding(62, 0.7, 0.8).sounding(62, 3, 2).sounding(64, 3, 2);
    List<Cell> cells = cells(List.of(60, 62, 64), List.of("mf"), 1);
    assertEquals(List.of("kept 60mf1", "retake 62mf1", "kept 62mf1", "kept 64mf1"), result(cells));
    assertEquals(
        List.of(false, true, false, false),
        java.util.stream.IntStream.range(0, 4).mapToObj(i -> falseStart(cells, i)).toList());
  }

  /** By its level alone the first loud attempt, the softer one, is the soft note once more. */
  @Test
  void whatIsHeardToBeFlawedIsReadilyASecondAttempt() {
    for (double knockDb : new double[] {0, 10}) {
      regions.clear();
      at = 0;
      played(60, 0, -30).played(60, 0, -22).played(61, 0, -30).played(61, 0, -25.8);
      played(61, 0, -22).played(62, 0, -30).played(62, 0, -22);
      lasting(4, 3, Blemishes.NONE.with(new Blemishes.Beside(0, 0, knockDb)));
      List<String> found = result(cells(List.of(60, 61, 62), List.of("p", "f"), 1));
      assertEquals(
          knockDb > 0
              ? List.of("kept 61p1", "kept 61f1", "retake 61f1")
              : List.of("retake 61p1", "kept 61p1", "kept 61f1"),
          found.subList(2, 5),
          knockDb + " dB");
    }
  }

  private void lasting(int index, double seconds, Blemishes blemishes) {
    Region r = regions.get(index);
    long end = r.start() + (long) (seconds * RATE);
    regions.set(
        index,
        new Region(
            r.start(),
            r.onset(),
            end,
            r.kind(),
            r.pitch(),
            1,
            false,
            r.flags(),
            r.peakDbfs(),
            r.levelDbfs(),
            blemishes,
            null));
  }

  /** The room behind a short note makes it seem long: the one before was as long as the others. */
  @Test
  void aNoteAsLongAsOthersIsNoFalseStart() {
    List<Cell> cells = cells(List.of(60, 62, 64), List.of("mf"), 2);
    for (int knocks : new int[] {0, 3}) {
      regions.clear();
      short60And62();
      for (int i = 0; i < knocks; i++) {
        knock();
      }
      sounding(64, 0.3, 0.8).sounding(64, 0.35, 0.8);
      assertEquals(List.of("kept 62mf1", "kept 62mf2"), result(cells).subList(2, 4), knocks + "");
    }
    // Of fewer notes it is not known how long they are.
    regions.clear();
    short60And62();
    assertEquals("retake", result(cells).get(2).split(" ")[0]);
  }

  /** One that is surely heard as no note of the sheet. */
  private void knock() {
    Pitch guess = new Pitch(40, 0, 440, 0.5);
    long end = at + RATE / 5;
    Set<Flag> flags = Set.of(Flag.KNOCK);
    regions.add(
        new Region(
            at,
            at + 480,
            end,
            Kind.PITCHED,
            null,
            1,
            true,
            flags,
            -12,
            -20,
            Blemishes.NONE,
            guess));
    at = end + RATE / 2;
  }

  private void short60And62() {
    sounding(60, 0.3, 0.8).sounding(60, 0.32, 0.8).sounding(62, 0.25, 0.8).sounding(62, 0.62, 0.8);
  }

  /** A whole note that is played again is a retake, but no false start. */
  @Test
  void aWholeNotePlayedAgainIsNone() {
    sounding(60, 3, 2).sounding(62, 2.5, 2).sounding(62, 3, 2);
    List<Cell> cells = cells(List.of(60, 62), List.of("mf"), 1);
    assertEquals(List.of("kept 60mf1", "retake 62mf1", "kept 62mf1"), result(cells));
    assertEquals(false, falseStart(cells, 1));
  }

  /** The second round robin is missing; what was broken off does not stand in for it. */
  @Test
  void aFalseStartIsNoRoundRobin() {
    sounding(60, 3, 2).sounding(60, 3, 2);
    sounding(62, 0.7, 0.8).sounding(62, 3, 2);
    sounding(64, 3, 2).sounding(64, 3, 2);
    List<String> lines = result(cells(List.of(60, 62, 64), List.of("mf"), 2));
    assertEquals(CellStatus.RETAKE.word(), lines.get(2).split(" ")[0], lines.toString());
    assertEquals(1, lines.stream().filter(l -> l.startsWith("missing 62")).count());
    assertEquals(7, lines.size());
  }

  /** What a person keeps is kept: a sound without a pitch, and the first of two attempts. */
  @Test
  void whatAPersonKeepsFillsACell() {
    sounding(60, 3, 2).sounding(0, 3, 2, Flag.FORCED).sounding(64, 3, 2, Flag.FORCED);
    sounding(64, 3, 2);
    assertEquals(
        List.of("kept 60mf1", "kept 62mf1", "kept 64mf1", "retake 64mf1"),
        result(cells(List.of(60, 62, 64), List.of("mf"), 1)));
  }

  /** A short sound that could be a note after all is none where a person says so. */
  @Test
  void whatAPersonDropsFillsNone() {
    sounding(60, 0.3, 2).sounding(62, 0.3, 2, Flag.NO_PITCH, Flag.DROPPED).sounding(64, 0.3, 2);
    assertEquals(
        List.of("kept 60mf1", "rejected", "kept 64mf1", "missing 62mf1"),
        result(cells(List.of(60, 62, 64), List.of("mf"), 1)));
  }

  /** A note blurred by its room is as long as the others, though it passes for a word. */
  @Test
  void aRejectedSoundAsLongAsTheNotesThatSpeaksForTheMissingOneFillsItsCell() {
    List<Cell> cells = cells(List.of(60, 62, 64), List.of("mf"), 1);
    for (int spokenFor : new int[] {62, 66}) {
      regions.clear();
      at = 0;
      played(60, 0, -20);
      Pitch guess = new Pitch(spokenFor, 0, 440, 0.5);
      Region before = regions.get(0);
      long start = before.end() + RATE;
      regions.add(
          new Region(
              start,
              start + 480,
              start + 3L * RATE,
              Kind.PITCHED,
              null,
              1,
              true,
              Flags.of(Flag.TALK),
              -12,
              -20,
              before.blemishes(),
              guess));
      at = start + 4L * RATE;
      played(64, 0, -20);
      List<Integer> missing = TakeAlignment.match(regions, cells, RATE).missing();
      assertEquals(spokenFor == 62 ? List.of() : List.of(1), missing, "" + spokenFor);
    }
  }

  /**
   * Any notes left out of a take with one dynamic and one round robin, any of the rest played
   * twice: what is missing and what is a retake is told exactly.
   */
  @Property(tries = 200)
  void omissionsAndRetakesAreToldApart(@ForAll long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    List<Integer> notes = new ArrayList<>();
    for (int midi = 55; midi < 80; midi++) {
      notes.add(midi);
    }
    List<String> expected = new ArrayList<>();
    List<String> missing = new ArrayList<>();
    regions.clear();
    at = 0;
    for (int note : notes) {
      double chance = random.nextDouble();
      if (chance < 0.15) {
        missing.add("missing " + note + "mf1");
        continue;
      }
      double cents = random.nextDouble(-35, 35);
      if (chance > 0.8) {
        played(note, cents + random.nextDouble(-5, 5), random.nextDouble(-22, -20));
        expected.add("retake " + note + "mf1");
      }
      played(note, cents + random.nextDouble(-5, 5), random.nextDouble(-22, -20));
      expected.add("kept " + note + "mf1");
    }
    expected.addAll(missing);
    assertEquals(expected, result(cells(notes, List.of("mf"), 1)));
  }

  /** A sound an octave above a note that is missing; alone with its cell it would be that note. */
  @Test
  void whatOneDropsOpensItsOwnCellAndNoOther() {
    List<Cell> cells = cells(List.of(60, 62, 64, 65, 67), List.of("mf"), 1);
    played(60, 0, -20).played(62, 0, -20).played(65, 0, -20).played(67, 0, -20).played(76, 0, -20);
    List<CellName> anything = Collections.nCopies(regions.size(), CellName.ANY);
    Matching before = TakeAlignment.match(regions, anything, cells, Set.of(), RATE);
    assertEquals(List.of(2), before.missing());
    assertEquals(CellStatus.EXTRA, before.statuses().get(4));
    regions.set(0, regions.get(0).marked(true, Flags.of(Flag.DROPPED)));
    List<CellName> settled = new ArrayList<>(anything);
    for (int i = 1; i < 4; i++) {
      settled.set(i, CellName.of(cells.get(before.cells()[i])));
    }
    Matching open = TakeAlignment.match(regions, settled, cells, Set.of(), RATE);
    assertEquals(List.of(0), open.missing(), "where all cells are open the sound is taken for it");
    Matching after = TakeAlignment.matchAgain(regions, settled, cells, Set.of(), before, RATE);
    assertEquals(List.of(0, 2), after.missing());
    assertEquals(before.statuses().subList(1, 5), after.statuses().subList(1, 5));
  }
}
