package takewright.library.match;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.segment.flaw.NoiseCourse;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/** Which of several attempts at a note is kept, by what went wrong in each. */
class AttemptsTest {
  private static final int RATE = 48_000;
  private static final Blemishes DISTURBED = Blemishes.NONE.with(new Blemishes.Beside(3, 26, 0));
  private static final Blemishes BEGUN_WRONG = Blemishes.NONE.with(new Blemishes.NoteStart(0.4, 0));

  /** In place of a note: a word. */
  private static final int TALK = -1;

  private final List<Region> regions = new ArrayList<>();
  private long at;

  private AttemptsTest played(int midi, double seconds, Blemishes blemishes) {
    add(midi, seconds, blemishes);
    at += RATE;
    return this;
  }

  private void add(int midi, double seconds, Blemishes blemishes, Flag... flags) {
    boolean isTalk = midi == TALK;
    long end = at + (long) (seconds * RATE);
    Pitch pitch = isTalk ? null : Pitch.of(440 * Math.pow(2, (midi - 69) / 12.0), 440, 1);
    regions.add(
        new Region(
            at,
            at + 480,
            end,
            Kind.PITCHED,
            pitch,
            1,
            isTalk,
            Set.of(flags),
            -10,
            -18,
            blemishes,
            null));
    at = end;
  }

  private Matching matched(int roundRobins) {
    List<Cell> cells = new ArrayList<>();
    for (int midi = 60; midi <= 62; midi++) {
      for (int rr = 1; rr <= roundRobins; rr++) {
        cells.add(new Cell(0, "sustain", midi, "mf", rr));
      }
    }
    return TakeAlignment.match(regions, cells, RATE);
  }

  private static List<CellStatus> statuses(String text) {
    List<CellStatus> all = new ArrayList<>();
    for (char c : text.toCharArray()) {
      all.add(c == 'k' ? CellStatus.KEPT : CellStatus.RETAKE);
    }
    return all;
  }

  @Test
  void theLaterOfTwoCleanAttemptsIsKept() {
    played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE);
    played(62, 3, Blemishes.NONE);
    assertEquals(statuses("krkk"), matched(1).statuses());
  }

  @Test
  void aFlawedAttemptNeverTakesTheCleanOnesPlace() {
    for (Blemishes flaw : List.of(DISTURBED, BEGUN_WRONG)) {
      regions.clear();
      played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE).played(61, 3, flaw);
      played(62, 3, Blemishes.NONE);
      Matching matching = matched(1);
      assertEquals(statuses("kkrk"), matching.statuses());
      Flag told = flaw == DISTURBED ? Flag.DISTURBED : Flag.WRONG_START;
      assertTrue(matching.marked(regions, RATE).get(2).flags().contains(told));
    }
  }

  /** A note that is rough each time it is played is so by itself. */
  @Test
  void whatIsHeardEachTimeIsTheNotesOwn() {
    for (Blemishes second : List.of(DISTURBED, Blemishes.NONE)) {
      regions.clear();
      for (int midi = 60; midi <= 62; midi++) {
        for (int rr = 1; rr <= 5; rr++) {
          played(midi, 3, midi != 61 || rr > 2 ? Blemishes.NONE : rr == 1 ? DISTURBED : second);
          if (midi == 61 && rr == 2) {
            break;
          }
        }
      }
      boolean isTold = matched(5).marked(regions, RATE).get(5).flags().contains(Flag.DISTURBED);
      assertEquals(second == Blemishes.NONE, isTold);
    }
  }

  /** Begun on the wrong note, and over too soon for that to be held. */
  @Test
  void theAttemptThatComesToItsNoteLateGivesWay() {
    Blemishes late = Blemishes.NONE.with(new Blemishes.NoteStart(0, 0.13));
    Blemishes usual = Blemishes.NONE.with(new Blemishes.NoteStart(0, 0.04));
    played(60, 0.5, usual).played(61, 0.5, usual).played(61, 0.5, late).played(62, 0.5, usual);
    assertEquals(statuses("kkrk"), matched(1).statuses());
  }

  @Test
  void aNoteBrokenOffAfterACleanOneIsLeftOut() {
    played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE).played(61, 1, Blemishes.NONE);
    played(62, 3, Blemishes.NONE);
    assertEquals(statuses("kkrk"), matched(1).statuses());
  }

  /** Round robins are alike: the flawed one is left out whichever of them it was played for. */
  @Test
  void theCleanOnesFillTheRoundRobins() {
    for (int midi = 60; midi <= 62; midi++) {
      played(midi, 3, midi == 61 ? DISTURBED : Blemishes.NONE).played(midi, 3, Blemishes.NONE);
      if (midi == 61) {
        played(midi, 3, Blemishes.NONE);
      }
    }
    assertEquals(statuses("kkrkkkk"), matched(2).statuses());
  }

  private void soften(int index, double db) {
    Region r = regions.get(index);
    regions.set(
        index,
        new Region(
            r.start(),
            r.onset(),
            r.end(),
            r.kind(),
            r.pitch(),
            r.confidence(),
            r.rejected(),
            r.flags(),
            r.peakDbfs(),
            r.levelDbfs() - db,
            r.blemishes(),
            null));
  }

  /** It was played again, so that a round robin is missing; alone it is better than nothing. */
  @Test
  void anAttemptBegunWrongBesideARightOneIsNoFurtherRoundRobin() {
    for (Blemishes second : List.of(Blemishes.NONE, BEGUN_WRONG)) {
      regions.clear();
      played(60, 3, Blemishes.NONE).played(60, 3, Blemishes.NONE);
      played(61, 3, BEGUN_WRONG).played(61, 3, second);
      played(62, 3, Blemishes.NONE).played(62, 3, Blemishes.NONE);
      Matching matching = matched(2);
      boolean isRight = second == Blemishes.NONE;
      assertEquals(statuses(isRight ? "kkrkkk" : "kkkkkk"), matching.statuses());
      assertEquals(isRight ? List.of(2) : List.of(), matching.missing());
    }
  }

  /** What is far shorter than the note and goes over into a word is a part of that word. */
  @Test
  void theBeginningOfAWordIsNoFurtherRoundRobin() {
    for (double seconds : new double[] {0.8, 2.5}) {
      regions.clear();
      played(60, 3, Blemishes.NONE).played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE);
      add(61, seconds, Blemishes.NONE);
      played(TALK, 2, Blemishes.NONE).played(62, 3, Blemishes.NONE).played(62, 3, Blemishes.NONE);
      boolean isPart = seconds < 1;
      Matching matching = matched(2);
      assertEquals(isPart ? CellStatus.RETAKE : CellStatus.KEPT, matching.statuses().get(3));
      assertEquals(isPart ? List.of(3) : List.of(), matching.missing());
    }
  }

  /** Whoever says that it is kept is believed. */
  @Test
  void anAttemptBegunWrongThatAPersonKeepsStays() {
    played(60, 3, Blemishes.NONE).played(60, 3, Blemishes.NONE);
    add(61, 3, BEGUN_WRONG, Flag.FORCED);
    at += RATE;
    played(61, 3, Blemishes.NONE).played(62, 3, Blemishes.NONE).played(62, 3, Blemishes.NONE);
    assertEquals(statuses("kkkkkk"), matched(2).statuses());
  }

  @Test
  void aFlawedAttemptThatIsTheOnlyOneIsKeptAndFlagged() {
    played(60, 3, Blemishes.NONE).played(61, 3, DISTURBED).played(62, 3, Blemishes.NONE);
    Matching matching = matched(1);
    assertEquals(statuses("kkk"), matching.statuses());
    List<Region> marked = matching.marked(regions, RATE);
    assertTrue(marked.get(1).flags().contains(Flag.DISTURBED));
    assertEquals(Set.of(), marked.get(0).flags());
  }

  /** A bow is as restless all along; nothing that it does comes to 25 dB. */
  @Test
  void whatIsHarshIsToldBesideRestlessNotes() {
    Blemishes restless = Blemishes.NONE.with(new Blemishes.Beside(3.4, 18, 0));
    Blemishes scratched = Blemishes.NONE.with(new Blemishes.Beside(5.6, 28, 0));
    played(60, 3, restless).played(61, 3, scratched).played(62, 3, restless);
    List<Region> marked = matched(1).marked(regions, RATE);
    assertEquals(Set.of(), marked.get(0).flags());
    assertEquals(Set.of(Flag.DISTURBED), marked.get(1).flags());
  }

  /** What is nearly as harsh another time is the way in which the note speaks. */
  @Test
  void whatIsHarshEachTimeIsTheNotesOwn() {
    Blemishes restless = Blemishes.NONE.with(new Blemishes.Beside(3.4, 18, 0));
    Blemishes harsh = Blemishes.NONE.with(new Blemishes.Beside(5.6, 28, 0));
    for (double other : new double[] {3.5, 3.2}) {
      regions.clear();
      played(60, 3, restless).played(60, 3, restless).played(61, 3, harsh);
      played(61, 3, Blemishes.NONE.with(new Blemishes.Beside(other, 20, 0)));
      played(62, 3, restless).played(62, 3, restless);
      Set<Flag> flags = matched(2).marked(regions, RATE).get(2).flags();
      assertEquals(other > 3.4 ? Set.of() : Set.of(Flag.DISTURBED), flags, other + " dB s");
    }
  }

  /** A blow is told by its sharpness, however little of the note it takes up. */
  @Test
  void aKnockIsToldWithoutAnotherAttempt() {
    Blemishes restless = Blemishes.NONE.with(new Blemishes.Beside(3.4, 18, 5));
    played(60, 3, restless)
        .played(61, 3, Blemishes.NONE.with(new Blemishes.Beside(1.1, 14, 9)))
        .played(62, 3, restless);
    List<Region> marked = matched(1).marked(regions, RATE);
    assertEquals(Set.of(), marked.get(0).flags());
    assertEquals(Set.of(Flag.DISTURBED), marked.get(1).flags());
  }

  /** Over a clock all notes have blows, and only a sharper one is the player's. */
  @Test
  void blowsThatTheRoomMakesAllAlongAreNoneOfANote() {
    Blemishes ticked = Blemishes.NONE.with(new Blemishes.Beside(1.1, 14, 12));
    Blemishes knocked = Blemishes.NONE.with(new Blemishes.Beside(1.1, 14, 16));
    played(60, 3, ticked).played(61, 3, ticked).played(62, 3, Blemishes.NONE);
    played(63, 3, knocked).played(64, 3, ticked).played(65, 3, ticked);
    List<Region> marked = matched(1).marked(regions, RATE);
    for (int i = 0; i < marked.size(); i++) {
      assertEquals(i == 3 ? Set.of(Flag.DISTURBED) : Set.of(), marked.get(i).flags());
    }
  }

  /** Twenty bands 40 dB below a note, of which some lie higher for a while. */
  private static NoiseCourse course(double levelDb, double more, int of) {
    return course(levelDb, more, 8, of);
  }

  private static NoiseCourse course(double levelDb, double more, int from, int of) {
    List<float[]> levels = new ArrayList<>();
    for (int b = 0; b < 20; b++) {
      float[] level = new float[12];
      Arrays.fill(level, (float) (levelDb - 40));
      Arrays.fill(level, 6, 10, (float) (levelDb - 40 + (b >= from && b < from + of ? more : 0)));
      levels.add(level);
    }
    float[] partials = new float[12];
    Arrays.fill(partials, (float) Math.pow(10, levelDb / 10));
    return NoiseCourse.of(levels, 12, partials);
  }

  /** What two short attempts have between their partials is laid beside each other. */
  @Test
  void ofTwoAttemptsTheNoisierGivesWay() {
    Blemishes clean = Blemishes.NONE.with(course(-20, 0, 0));
    Blemishes scratched = Blemishes.NONE.with(course(-20, 14, 3));
    played(60, 0.3, clean).played(61, 0.3, clean).played(61, 0.3, scratched).played(62, 0.3, clean);
    Matching matching = matched(1);
    assertEquals(statuses("kkrk"), matching.statuses());
    assertEquals(Set.of(Flag.DISTURBED), matching.marked(regions, RATE).get(2).flags(), "says why");
    assertEquals(Set.of(), matching.marked(regions, RATE).get(1).flags());
    for (NoiseCourse asClean : List.of(course(-10, 0, 0), course(-20, 7, 2))) {
      regions.clear();
      played(60, 0.3, clean).played(61, 0.3, clean);
      played(61, 0.3, Blemishes.NONE.with(asClean)).played(62, 0.3, clean);
      assertEquals(statuses("krkk"), matched(1).statuses(), "louder as a whole, or two bands");
    }
  }

  /** A bow that changes just then may hide a scratch in one of three bands. */
  @Test
  void whatIsFarLouderInTwoBandsIsNoisier() {
    Blemishes clean = Blemishes.NONE.with(course(-20, 0, 0));
    Blemishes scratched = Blemishes.NONE.with(course(-20, 24, 2));
    played(60, 0.3, clean).played(61, 0.3, clean).played(61, 0.3, scratched).played(62, 0.3, clean);
    assertEquals(statuses("kkrk"), matched(1).statuses());
  }

  /** A knock lengthens a note, so that the clean one beside it seems broken off. */
  @Test
  void whatSeveralFactsSayOutweighsASeemingBreak() {
    Blemishes clean = dying(10).with(course(-20, 0, 0));
    Blemishes knocked = dying(10).with(course(-20, 14, 3)).with(new Blemishes.Beside(0.5, 15, 0));
    for (Blemishes longer : List.of(clean, knocked)) {
      regions.clear();
      played(60, 3, clean).played(61, 1.9, dying(25).with(course(-20, 0, 0)));
      played(61, 3, longer).played(62, 3, clean);
      String expected = longer == clean ? "krkk" : "kkrk";
      assertEquals(statuses(expected), matched(1).statuses());
    }
  }

  /** Of two that are merely played differently each has more somewhere. */
  @Test
  void whereEachAttemptHasMoreTheLaterIsKept() {
    Blemishes clean = Blemishes.NONE.with(course(-20, 0, 0));
    played(60, 0.3, clean).played(61, 0.3, Blemishes.NONE.with(course(-20, 10, 2, 3)));
    played(61, 0.3, Blemishes.NONE.with(course(-20, 14, 3))).played(62, 0.3, clean);
    assertEquals(statuses("krkk"), matched(1).statuses());
  }

  /** What sets in over a note is worse than what comes and goes in another. */
  @Test
  void whatPassesForANoteOverAnAttemptIsWorseThanNoise() {
    Blemishes clean = Blemishes.NONE.with(course(-20, 0, 0));
    played(60, 0.4, clean).played(61, 0.4, Blemishes.NONE.with(course(-20, 14, 3)));
    add(61, 0.4, clean);
    played(44, 1, Blemishes.NONE).played(62, 0.4, clean);
    assertEquals(CellStatus.KEPT, matched(1).statuses().get(1));
  }

  /** One attempt that is calmer than all others says nothing against each of these. */
  @Test
  void aSingleCalmAttemptMakesNoOtherNoisier() {
    Blemishes usual = Blemishes.NONE.with(course(-20, 12, 3));
    Blemishes calm = Blemishes.NONE.with(course(-20, 0, 0));
    for (int calmOnes = 1; calmOnes <= 2; calmOnes++) {
      regions.clear();
      played(60, 1, usual).played(60, 1, usual).played(60, 1, usual);
      played(61, 1, calmOnes == 1 ? usual : calm).played(61, 0.5, calm);
      played(61, 1, usual).played(61, 1, usual.with(new Blemishes.Beside(0.3, 10, 0)));
      played(62, 1, usual).played(62, 1, usual).played(62, 1, usual);
      List<CellStatus> statuses = matched(3).statuses();
      assertEquals(CellStatus.RETAKE, statuses.get(calmOnes == 1 ? 4 : 6), "" + calmOnes);
    }
  }

  /** A knock that a second attempt is over before, or drowns, is heard beside a third alone. */
  @Test
  void whatIsFarNoisierThanOneOtherIsRatherNoisy() {
    played(60, 1, Blemishes.NONE).played(60, 1, Blemishes.NONE);
    for (double more : new double[] {0, 9, 14}) {
      played(61, 1, Blemishes.NONE.with(course(-20, more, 3)));
    }
    played(62, 1, Blemishes.NONE);
    assertEquals(CellStatus.RETAKE, matched(2).statuses().get(4));
  }

  /** Where nothing else tells, the less noisy of two is the better one. */
  @Test
  void ofTwoAttemptsThatAreBothGoodEnoughTheLessNoisyIsKept() {
    for (double more : new double[] {4, 7}) {
      regions.clear();
      Blemishes calm = Blemishes.NONE.with(course(-20, 0, 0));
      played(60, 0.3, calm).played(61, 0.3, calm);
      played(61, 0.3, Blemishes.NONE.with(course(-20, more, 3))).played(62, 0.3, calm);
      assertEquals(statuses(more > 5 ? "kkrk" : "krkk"), matched(1).statuses(), more + " dB");
    }
  }

  /** What lies over the note before rings on into one that begins in its tail. */
  @Test
  void aNoteThatBeginsInTheTailOfAnotherIsNotSaidToBeNoisier() {
    Blemishes clean = Blemishes.NONE.with(course(-20, 0, 0));
    played(60, 0.3, clean).played(61, 0.3, clean);
    add(61, 0.3, Blemishes.NONE.with(course(-20, 14, 3)), Flag.IN_TAIL);
    add(62, 0.3, clean);
    assertEquals(statuses("krkk"), matched(1).statuses());
  }

  /** In a take that rings no note says so; of two that are both rung into, each shows its own. */
  @Test
  void whatRingsIntoANoteIsNoneOfItUnlessItRingsIntoTheOtherAttemptAsWell() {
    Blemishes clean = Blemishes.NONE.with(course(-20, 0, 0));
    Blemishes noisy = Blemishes.NONE.with(course(-20, 14, 3));
    played(60, 0.3, clean);
    add(61, 0.3, clean);
    add(61, 0.3, noisy);
    add(62, 0.3, clean);
    assertEquals(statuses("krkk"), matched(1).statuses());
    assertEquals(Set.of(), matched(1).marked(regions, RATE).get(2).flags());
    regions.clear();
    add(60, 0.3, clean);
    add(61, 0.3, clean);
    add(61, 0.3, noisy);
    add(62, 0.3, clean);
    assertEquals(statuses("kkrk"), matched(1).statuses());
    assertEquals(Set.of(Flag.DISTURBED), matched(1).marked(regions, RATE).get(2).flags());
  }

  /** A knock that a low note's own noise hides shows where the period is taken away. */
  @Test
  void ofTwoAttemptsThatInWhichMoreComesAndGoesGivesWay() {
    Blemishes clean = Blemishes.NONE.with(aperiodic(-13, -60));
    played(60, 3, clean).played(61, 3, clean);
    played(61, 3, Blemishes.NONE.with(aperiodic(-12, -13))).played(62, 3, clean);
    assertEquals(statuses("kkrk"), matched(1).statuses());
    regions.clear();
    played(60, 3, clean).played(61, 3, clean);
    played(61, 3, Blemishes.NONE.with(aperiodic(-12, -30))).played(62, 3, clean);
    assertEquals(statuses("krkk"), matched(1).statuses(), "too soft to be heard");
  }

  private static Blemishes.Aperiodic aperiodic(double lowDb, double middleDb) {
    return new Blemishes.Aperiodic(
        new Blemishes.Aperiodic.Band(lowDb, -40),
        new Blemishes.Aperiodic.Band(middleDb, -40),
        Blemishes.Aperiodic.Band.NONE);
  }

  /** The tail that is only supposed says nothing of how long a note was held. */
  @Test
  void aNoteBrokenOffIsToldByWhereItIsHeardLast() {
    long hidden = (long) (0.3 * RATE);
    played(60, 0.8, Blemishes.NONE).played(61, 1.1, Blemishes.NONE);
    played(61, 0.8, Blemishes.NONE.with(new Blemishes.Ending(hidden, 0, 0)))
        .played(62, 0.8, Blemishes.NONE);
    assertEquals(statuses("kkrk"), matched(1).statuses());
  }

  /** A very short one seems longer than it is, but has not come to its level. */
  @Test
  void aShortNoteBrokenOffIsToldByItsLevelAsWell() {
    played(60, 0.25, Blemishes.NONE).played(61, 0.25, Blemishes.NONE);
    played(61, 0.17, Blemishes.NONE).played(62, 0.25, Blemishes.NONE);
    assertEquals(statuses("krkk"), matched(1).statuses(), "as loud as the other");
    Region last = regions.get(2);
    regions.set(
        2,
        new Region(
            last.start(),
            last.onset(),
            last.end(),
            Kind.PITCHED,
            last.pitch(),
            1,
            false,
            Set.of(),
            last.peakDbfs(),
            last.levelDbfs() - 8));
    assertEquals(statuses("kkrk"), matched(1).statuses(), "softer by 8 dB");
  }

  /** A string that is stopped falls at once, one that is let ring does not. */
  @Test
  void aShortNoteBrokenOffIsToldByHowItStops() {
    played(60, 0.25, dying(10)).played(61, 0.25, dying(10)).played(61, 0.17, dying(25));
    played(62, 0.25, dying(10));
    Matching matching = matched(1);
    assertEquals(statuses("kkrk"), matching.statuses());
    assertTrue(matching.isFalseStart(2, regions), "says why");
    assertFalse(matching.isFalseStart(1, regions));
    regions.clear();
    played(60, 0.25, dying(10)).played(61, 0.25, dying(10)).played(61, 0.17, dying(15));
    played(62, 0.25, dying(10));
    assertEquals(statuses("krkk"), matched(1).statuses(), "shorter, but it dies away as well");
  }

  private static Blemishes dying(double stopDb) {
    return Blemishes.NONE.with(new Blemishes.Ending(0, 0, stopDb));
  }

  /** Where the segmenter hears two notes in one that was begun on the wrong one. */
  @Test
  void aNoteBegunOnTheWrongOneIsLeftOutInBothItsParts() {
    for (int wrong : List.of(62, 60)) {
      regions.clear();
      played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE);
      add(wrong, 0.5, Blemishes.NONE, Flag.RINGS_ON);
      played(61, 2.5, Blemishes.NONE).played(62, 3, Blemishes.NONE);
      Matching matching = matched(1);
      assertEquals(CellStatus.KEPT, matching.statuses().get(0));
      assertEquals(CellStatus.KEPT, matching.statuses().get(1));
      assertEquals(CellStatus.RETAKE, matching.statuses().get(3));
      assertEquals(CellStatus.KEPT, matching.statuses().get(4));
      assertTrue(matching.marked(regions, RATE).get(3).flags().contains(Flag.WRONG_START));
    }
  }

  /** And a third where the player slides to the right one; of notes of equal length none is. */
  @Test
  void aNoteBegunOnTheWrongOneIsLeftOutInAllItsPieces() {
    for (double piece : new double[] {0.2, 2.4}) {
      regions.clear();
      played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE);
      add(62, 0.5, Blemishes.NONE, Flag.RINGS_ON);
      add(61, piece, Blemishes.NONE, Flag.RINGS_ON);
      played(61, 2.5, Blemishes.NONE).played(62, 3, Blemishes.NONE);
      Matching matching = matched(1);
      boolean isPiece = piece < 1;
      assertEquals(isPiece, matching.statuses().get(1) == CellStatus.KEPT, piece + " s");
      assertEquals(
          isPiece,
          matching.marked(regions, RATE).get(4).flags().contains(Flag.WRONG_START),
          piece + " s");
    }
  }

  /** A note that is broken off and at once played anew begins on no wrong one. */
  @Test
  void aNotePlayedAnewBeforeItHasEndedIsNotBegunWrong() {
    played(60, 3, Blemishes.NONE);
    add(61, 0.5, Blemishes.NONE, Flag.RINGS_ON);
    played(61, 2.5, Blemishes.NONE).played(62, 3, Blemishes.NONE);
    Matching matching = matched(1);
    assertEquals(statuses("krkk"), matching.statuses());
    assertEquals(Set.of(), matching.marked(regions, RATE).get(2).flags());
  }

  /** Notes that ring into each other are about as long as each other, and none is wrong. */
  @Test
  void aNoteThatRingsIntoTheNextIsNoBeginningOfIt() {
    add(60, 3, Blemishes.NONE, Flag.RINGS_ON);
    add(61, 3, Blemishes.NONE, Flag.RINGS_ON);
    add(62, 3, Blemishes.NONE);
    Matching matching = matched(1);
    assertEquals(statuses("kkk"), matching.statuses());
    assertTrue(
        matching.marked(regions, RATE).stream()
            .noneMatch(r -> r.flags().contains(Flag.WRONG_START)));
  }

  /** The last note of a run rings out, and the one before it, which it ends, is no false start. */
  @Test
  void aNoteThatTheNextOneEndsIsNotBrokenOff() {
    add(61, 0.4, Blemishes.NONE);
    add(61, 0.4, Blemishes.NONE);
    add(62, 0.4, Blemishes.NONE);
    add(62, 1.2, Blemishes.NONE.with(new Blemishes.Ending(RATE / 5, 0, 0)));
    assertEquals(statuses("kkkk"), matched(2).statuses());
  }

  @Test
  void aNoteThatAWordBreaksOffIsDisturbed() {
    played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE);
    add(61, 2.8, Blemishes.NONE, Flag.RINGS_ON);
    add(TALK, 2, Blemishes.NONE, Flag.TALK);
    at += RATE;
    played(62, 3, Blemishes.NONE);
    Matching matching = matched(1);
    assertEquals(CellStatus.KEPT, matching.statuses().get(1));
    assertEquals(CellStatus.RETAKE, matching.statuses().get(2));
    assertTrue(matching.marked(regions, RATE).get(2).flags().contains(Flag.DISTURBED));
  }

  /**
   * Alone it is said to be disturbed only where they touch, but for a moment: it may have ended.
   */
  @Test
  void aNoteIsDisturbedByAWordThatTouchesIt() {
    for (long gap : new long[] {0, 800, 4000}) {
      regions.clear();
      played(60, 3, Blemishes.NONE);
      add(61, 2.8, Blemishes.NONE);
      at += gap;
      played(TALK, 2, Blemishes.NONE).played(62, 3, Blemishes.NONE);
      boolean isDisturbed =
          matched(1).marked(regions, RATE).get(1).flags().contains(Flag.DISTURBED);
      assertEquals(gap <= 2 * 480, isDisturbed, gap + " frames");
    }
  }

  /**
   * A word behind a note that has rung out by then does it no harm, though the room keeps it open.
   */
  @Test
  void aNoteThatHadRungOutBeforeAWordIsNotDisturbed() {
    for (double seconds : new double[] {1.1, 1.3}) {
      regions.clear();
      for (int n = 0; n < 4; n++) {
        played(60 + n / 2, 1, Blemishes.NONE);
      }
      add(62, seconds, Blemishes.NONE);
      add(TALK, 2, Blemishes.NONE, Flag.TALK);
      at += RATE;
      played(62, 1, Blemishes.NONE);
      Matching matching = matched(2);
      assertEquals(CellStatus.KEPT, matching.statuses().get(4));
      boolean isDisturbed = matching.marked(regions, RATE).get(4).flags().contains(Flag.DISTURBED);
      assertEquals(seconds < 1.2, isDisturbed, seconds + " s");
    }
  }

  /** It gives way to a clean attempt, but not to one with two things the matter with it. */
  @Test
  void aWordBehindANoteThatHadRungOutSaysLittle() {
    for (double seconds : new double[] {1.1, 1.3}) {
      regions.clear();
      for (int n = 0; n < 4; n++) {
        played(60 + n / 2, 1, Blemishes.NONE);
      }
      played(62, 1, Blemishes.NONE);
      played(62, 1, Blemishes.NONE.with(new Blemishes.Beside(3, 10, 0)));
      lessSure(5);
      add(62, seconds, Blemishes.NONE);
      add(TALK, 2, Blemishes.NONE, Flag.TALK);
      List<CellStatus> found = matched(2).statuses();
      assertEquals(CellStatus.KEPT, found.get(4));
      assertEquals(seconds > 1.2 ? CellStatus.RETAKE : CellStatus.KEPT, found.get(5));
      assertEquals(seconds > 1.2 ? CellStatus.KEPT : CellStatus.RETAKE, found.get(6));
    }
  }

  /** The first syllable may pass for a note; what follows says what it was. */
  @Test
  void aNoteThatAWordBreaksIntoWithAVowelIsDisturbed() {
    played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE);
    add(61, 2.8, Blemishes.NONE, Flag.RINGS_ON);
    add(44, 0.3, Blemishes.NONE);
    add(TALK, 2, Blemishes.NONE, Flag.TALK);
    at += RATE;
    played(62, 3, Blemishes.NONE);
    Matching matching = matched(1);
    assertEquals(CellStatus.KEPT, matching.statuses().get(1));
    assertEquals(CellStatus.RETAKE, matching.statuses().get(2));
    assertEquals(CellStatus.EXTRA, matching.statuses().get(3));
  }

  /** A word that is sung passes for a note to its end. */
  @Test
  void aNoteThatGoesOverIntoWhatIsNoNoteOfTheSheetGivesWay() {
    played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE);
    add(61, 2.8, Blemishes.NONE, Flag.RINGS_ON);
    played(44, 2, Blemishes.NONE).played(62, 3, Blemishes.NONE);
    Matching matching = matched(1);
    assertEquals(CellStatus.KEPT, matching.statuses().get(1));
    assertEquals(CellStatus.RETAKE, matching.statuses().get(2));
    assertEquals(CellStatus.EXTRA, matching.statuses().get(3));
  }

  /** However many syllables pass for notes, and where the first sets in a moment after the note. */
  @Test
  void aNoteThatAWordBreaksIntoWithSeveralVowelsIsDisturbed() {
    for (long gap : new long[] {0, 800, 4000, 6000}) {
      regions.clear();
      played(60, 3, Blemishes.NONE).played(61, 3, Blemishes.NONE);
      add(61, 2.8, Blemishes.NONE, Flag.RINGS_ON);
      at += gap;
      add(44, 0.3, Blemishes.NONE);
      add(47, 0.4, Blemishes.NONE);
      add(TALK, 2, Blemishes.NONE, Flag.TALK);
      at += RATE;
      played(62, 3, Blemishes.NONE);
      CellStatus first = gap > 10 * 480 ? CellStatus.RETAKE : CellStatus.KEPT;
      assertEquals(first, matched(1).statuses().get(1), gap + " frames");
    }
  }

  /** A word soon behind a note is worse than what is heard beside another attempt. */
  @Test
  void aNoteThatAWordBreaksIntoGivesWayToANoisierOne() {
    Blemishes clean = Blemishes.NONE.with(course(-20, 0, 0));
    played(60, 0.4, clean).played(61, 0.4, Blemishes.NONE.with(course(-20, 14, 3)));
    add(61, 0.4, clean);
    at += 3600;
    played(TALK, 1, Blemishes.NONE).played(62, 0.4, clean);
    Matching matching = matched(1);
    assertEquals(CellStatus.KEPT, matching.statuses().get(1));
    assertTrue(matching.marked(regions, RATE).get(2).flags().contains(Flag.DISTURBED));
  }

  /** A word is worse than what a bow does, and the note that it is in is no longer for it. */
  @Test
  void aNoteThatAWordBreaksIntoGivesWayToARestlessAndToAShortOne() {
    for (double seconds : new double[] {1.2, 0.3}) {
      regions.clear();
      played(60, seconds, Blemishes.NONE)
          .played(61, seconds, Blemishes.NONE.with(new Blemishes.Beside(0.4, 8, 0)));
      add(61, 1.3, Blemishes.NONE, Flag.RINGS_ON);
      add(TALK, 2, Blemishes.NONE, Flag.TALK);
      at += RATE;
      played(62, seconds, Blemishes.NONE);
      Matching matching = matched(1);
      assertEquals(CellStatus.KEPT, matching.statuses().get(1), seconds + " s");
      assertEquals(CellStatus.RETAKE, matching.statuses().get(2), seconds + " s");
    }
  }

  /** A knock in a note's tail is softer than the note was, but not by as much as the room's own. */
  @Test
  void aNoteThatAKnockTouchesGivesWay() {
    for (double softerDb : new double[] {25, 35}) {
      regions.clear();
      played(60, 1, Blemishes.NONE).played(61, 1, Blemishes.NONE);
      add(61, 1, Blemishes.NONE);
      add(TALK, 0.3, Blemishes.NONE, Flag.KNOCK);
      soften(3, softerDb);
      at += RATE;
      played(62, 1, Blemishes.NONE);
      CellStatus status = softerDb < 30 ? CellStatus.RETAKE : CellStatus.KEPT;
      assertEquals(status, matched(1).statuses().get(2), softerDb + " dB");
    }
  }

  /** However much is heard beside the whole one, a third of a note is none. */
  @Test
  void aNoteThatIsFarTooShortIsWorseThanADisturbedOne() {
    Blemishes clean = Blemishes.NONE.with(course(-20, 0, 0));
    Blemishes restless = DISTURBED.with(course(-20, 14, 3));
    for (double seconds : new double[] {1, 1.6}) {
      regions.clear();
      played(60, 3, clean).played(60, 3, clean).played(61, 3, clean).played(61, 3, restless);
      played(61, seconds, clean).played(62, 3, clean).played(62, 3, clean);
      assertEquals(
          statuses(seconds == 1 ? "kkkkrkk" : "kkkrkkk"), matched(2).statuses(), seconds + " s");
    }
  }

  /** What stirs in the room just behind a note does it no harm. */
  @Test
  void aSoftSoundBehindANoteDisturbsNothing() {
    played(60, 3, Blemishes.NONE);
    add(61, 3, Blemishes.NONE);
    Region soft = regions.get(1);
    regions.add(
        new Region(
            at,
            at + 480,
            at + RATE / 2,
            Kind.PITCHED,
            null,
            1,
            true,
            Set.of(Flag.KNOCK),
            soft.peakDbfs() - 30,
            soft.levelDbfs() - 30));
    at += RATE;
    played(62, 3, Blemishes.NONE);
    assertEquals(Set.of(), matched(1).marked(regions, RATE).get(1).flags());
  }

  /** What is laid over a note makes it longer than the notes around it. */
  @Test
  void anAttemptAsLongAsTheNotesAroundItIsNotBrokenOff() {
    played(60, 1, Blemishes.NONE).played(60, 1, Blemishes.NONE);
    Blemishes stops = Blemishes.NONE.with(new Blemishes.Ending(0, 0, 20));
    played(61, 1, stops).played(61, 1, stops);
    played(61, 1.5, Blemishes.NONE.with(new Blemishes.Beside(0.4, 8, 0)));
    played(62, 1, Blemishes.NONE).played(62, 1, Blemishes.NONE);
    assertEquals(statuses("kkkkrkk"), matched(2).statuses());
  }

  /** Where a word sets in over each of the whole ones their length is told by the notes around. */
  @Test
  void anAttemptIsBrokenOffBesideOnesTalkedIntoThatAreAsLongAsTheNotesAround() {
    played(60, 3, Blemishes.NONE).played(60, 3, Blemishes.NONE);
    for (int n = 0; n < 2; n++) {
      add(61, 3, Blemishes.NONE, Flag.RINGS_ON);
      played(TALK, 1, Blemishes.NONE);
    }
    played(61, 0.7, Blemishes.NONE).played(62, 3, Blemishes.NONE).played(62, 3, Blemishes.NONE);
    List<CellStatus> found = matched(2).statuses();
    assertEquals(CellStatus.KEPT, found.get(2));
    assertEquals(CellStatus.KEPT, found.get(4));
    assertEquals(CellStatus.RETAKE, found.get(6));
  }

  /** A bow stirs for longer than a word that is laid over another attempt, but not as loudly. */
  @Test
  void anAttemptIsNotDisturbedBesideOneThatHasPlainlyMore() {
    Blemishes.Aperiodic.Band stirs = new Blemishes.Aperiodic.Band(-20, -30);
    Blemishes.Aperiodic.Band none = Blemishes.Aperiodic.Band.NONE;
    Blemishes worded = Blemishes.NONE.with(new Blemishes.Aperiodic(none, stirs, none));
    played(60, 3, Blemishes.NONE).played(61, 3, worded);
    played(61, 3, Blemishes.NONE.with(new Blemishes.Beside(0.4, 8, 0)));
    played(62, 3, Blemishes.NONE);
    assertEquals(statuses("krkk"), matched(1).statuses());
  }

  /** A short note that was begun on the wrong one and goes over has a pitch between them. */
  @Test
  void anAttemptThatIsOutOfTuneGivesWayToOneThatIsAsTheOthersAre() {
    for (int player : new int[] {0, 40}) {
      regions.clear();
      played(60, 1, Blemishes.NONE).played(61, 1, Blemishes.NONE).played(61, 1, Blemishes.NONE);
      played(62, 1, Blemishes.NONE);
      for (int i = 0; i < 4; i++) {
        tuned(i, i == 2 ? player - 50 : player);
      }
      assertEquals(statuses("kkrk"), matched(1).statuses(), player + " cents");
    }
  }

  private void tuned(int index, double cents) {
    Region region = regions.get(index);
    double hertz = region.pitch().frequencyHz() * Math.pow(2, cents / 1200);
    regions.set(
        index,
        new Region(
            region.start(),
            region.onset(),
            region.end(),
            Kind.PITCHED,
            Pitch.of(hertz, 440, 1),
            1,
            false,
            Set.of(),
            region.peakDbfs(),
            region.levelDbfs()));
  }

  @Test
  void anAttemptWhosePitchIsLessSureGivesWayToAnother() {
    played(60, 1, Blemishes.NONE).played(61, 1, Blemishes.NONE).played(61, 1, Blemishes.NONE);
    played(62, 1, Blemishes.NONE);
    lessSure(2);
    Matching matching = matched(1);
    assertEquals(statuses("kkrk"), matching.statuses());
    assertEquals(
        Set.of(), matching.marked(regions, RATE).get(2).flags(), "it is no fault to be flagged");
  }

  /** Part of it is something else. */
  private void lessSure(int index) {
    Region region = regions.get(index);
    Pitch doubted = Pitch.of(region.pitch().frequencyHz(), 440, 0.8);
    regions.set(
        index,
        new Region(
            region.start(),
            region.onset(),
            region.end(),
            Kind.PITCHED,
            doubted,
            0.8,
            false,
            Set.of(),
            region.peakDbfs(),
            region.levelDbfs(),
            region.blemishes(),
            null));
  }
}
