package takewright.library.follow;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Set;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.segment.LiveSegment.Ear;
import takewright.sheet.cell.CellStatus;

/** What is said of a note holds, whatever is heard later. */
class ToldJudgementsTest {
  private static final int RATE = 100;
  private static final Set<Flag> NONE = Set.of();
  private static final Set<Flag> SCRATCH = Set.of(Flag.DISTURBED);
  private static final Set<Flag> WRONG = Set.of(Flag.WRONG_START);
  private static final Set<Flag> SHORT = Set.of(Flag.ODD_LENGTH);

  private final ToldJudgements told = new ToldJudgements(RATE);

  private Judgement say(CellStatus status, Set<Flag> flags, double atS) {
    return told.say(1, 10 * RATE, status, flags, NONE, Ear.SURE, (long) (atS * RATE));
  }

  @Test
  void theWeightOfAFlagSaysWhatToDo() {
    assertEquals(Judgement.GOOD, Judgement.of(CellStatus.KEPT, NONE));
    assertEquals(Judgement.LISTEN, Judgement.of(CellStatus.KEPT, SHORT));
    assertEquals(Judgement.AGAIN, Judgement.of(CellStatus.KEPT, SCRATCH));
    // Where the sheet is an octave off, nobody is to play everything again.
    assertEquals(Judgement.LISTEN, Judgement.of(CellStatus.KEPT, Set.of(Flag.OCTAVE_UNSURE)));
    assertEquals(
        Judgement.GOOD, Judgement.of(CellStatus.KEPT, Set.of(Flag.DISTURBED, Flag.FORCED)));
    assertEquals(Judgement.EXTRA, Judgement.of(CellStatus.RETAKE, NONE));
    assertEquals(Judgement.EXTRA, Judgement.of(CellStatus.EXTRA, NONE));
    assertEquals(Judgement.LEFT_OUT, Judgement.of(CellStatus.REJECTED, NONE));
  }

  @Test
  void aJudgementIsCorrectedOnce() {
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, NONE, 10));
    assertEquals(Judgement.AGAIN, say(CellStatus.KEPT, WRONG, 12));
    assertEquals(Judgement.AGAIN, say(CellStatus.KEPT, NONE, 13));
  }

  @Test
  void after20SItStays() {
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, NONE, 10));
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, WRONG, 30.1));
  }

  @Test
  void upTo20SItIsCorrected() {
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, NONE, 10));
    assertEquals(Judgement.AGAIN, say(CellStatus.KEPT, WRONG, 30));
  }

  /** Time runs from the end of the note as it was first heard, not from when it was told. */
  @Test
  void whoeverIsToldLateHasNoMoreTime() {
    assertEquals(Judgement.GOOD, told.say(2, 0, CellStatus.KEPT, NONE, NONE, Ear.SOON, 5 * RATE));
    assertEquals(
        Judgement.GOOD, told.say(2, 9 * RATE, CellStatus.KEPT, WRONG, NONE, Ear.SURE, 21 * RATE));
    assertEquals(true, told.isInTime(0, 20 * RATE));
    assertEquals(false, told.isInTime(0, 20 * RATE + 1));
  }

  @Test
  void whatIsHeardNoLongerIsTakenBackOnceAndInTime() {
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, NONE, 10));
    assertEquals(Judgement.GOOD, told.takeBack(1, 30 * RATE + 1));
    assertEquals(Judgement.LEFT_OUT, told.takeBack(1, 30 * RATE));
    assertEquals(Judgement.GOOD, told.say(2, 0, CellStatus.KEPT, NONE, NONE, Ear.SOON, 0));
    assertEquals(Judgement.AGAIN, told.say(2, 0, CellStatus.KEPT, WRONG, NONE, Ear.SOON, RATE));
    assertEquals(Judgement.AGAIN, told.takeBack(2, 2 * RATE), "it was corrected already");
    assertEquals(Judgement.LEFT_OUT, told.takeBack(3, 0), "only a person has spoken of it");
  }

  /** More notes tell more of how long notes are, which is no reason to return to one. */
  @Test
  void aLengthThatMoreNotesMakeOddIsNoNewsButOneThatTheyMakeUsualIs() {
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, NONE, 10));
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, SHORT, 12));
    assertEquals(Judgement.LISTEN, told.say(2, 0, CellStatus.KEPT, SHORT, NONE, Ear.SURE, 0));
    assertEquals(Judgement.GOOD, told.say(2, 0, CellStatus.KEPT, NONE, NONE, Ear.SURE, RATE));
  }

  /**
   * A disturbance that only a later ear hears corrects nothing. One that was told at once may be
   * taken back: it may turn out to lie in another sound.
   */
  @Test
  void whatIsHeardBesideANoteOnlyLaterIsNoNewsButThatNothingIsThereIs() {
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, NONE, 10));
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, SCRATCH, 11));
    assertEquals(Judgement.AGAIN, told.say(2, 0, CellStatus.KEPT, SCRATCH, NONE, Ear.SURE, 0));
    assertEquals(Judgement.GOOD, told.say(2, 0, CellStatus.KEPT, NONE, NONE, Ear.SURE, RATE));
  }

  /** The second ear hears it set in over the note, which the first had called good. */
  @Test
  void aWordThatAnEarHearsCorrectsAGoodNote() {
    assertEquals(Judgement.GOOD, told.say(1, 0, CellStatus.KEPT, NONE, NONE, Ear.QUICK, 0));
    assertEquals(
        Judgement.AGAIN, told.say(1, 0, CellStatus.KEPT, SCRATCH, SCRATCH, Ear.SOON, RATE));
    assertEquals(Judgement.AGAIN, told.say(1, 0, CellStatus.KEPT, NONE, NONE, Ear.SURE, 9 * RATE));
  }

  /** A pause of a few hundredths of a second is none to an ear that decides at once. */
  @Test
  void thatANoteRingsOnIsSaidOnceItIsSure() {
    Set<Flag> rings = Set.of(Flag.RINGS_ON);
    Set<Flag> soon = ToldJudgements.known(rings, Ear.SOON);
    assertEquals(Judgement.GOOD, told.say(1, 0, CellStatus.KEPT, soon, NONE, Ear.SOON, 0));
    assertEquals(
        Judgement.GOOD, told.say(1, 0, CellStatus.KEPT, Set.of(), NONE, Ear.SURE, 19 * RATE));
    assertEquals(Judgement.GOOD, told.say(2, 0, CellStatus.KEPT, soon, NONE, Ear.SOON, 0));
    assertEquals(
        Judgement.LISTEN, told.say(2, 0, CellStatus.KEPT, rings, NONE, Ear.SURE, 19 * RATE));
    Set<Flag> inTail = Set.of(Flag.IN_TAIL, Flag.ODD_LENGTH);
    assertEquals(SHORT, ToldJudgements.known(inTail, Ear.QUICK));
    assertEquals(inTail, ToldJudgements.known(inTail, Ear.SURE));
  }

  /** What is not used is no longer held against the rest of the take. */
  @Test
  void aDoubtStaysWhenAnotherAttemptIsUsed() {
    assertEquals(Judgement.AGAIN, say(CellStatus.KEPT, SCRATCH, 10));
    assertEquals(Judgement.AGAIN, say(CellStatus.RETAKE, NONE, 15));
    assertEquals(Judgement.AGAIN, say(CellStatus.EXTRA, SHORT, 16));
  }

  /** Another attempt would be as near to the room. */
  @Test
  void whatTheRoomIsLikeIsNoDoubtOfTheNote() {
    assertEquals(Judgement.GOOD, Judgement.of(CellStatus.KEPT, Set.of(Flag.NOISY)));
    assertEquals(
        Judgement.LISTEN, Judgement.of(CellStatus.KEPT, Set.of(Flag.NOISY, Flag.ODD_LENGTH)));
    assertEquals(Judgement.AGAIN, Judgement.of(CellStatus.KEPT, Set.of(Flag.NOISY, Flag.CLIPPED)));
  }

  /** Its status says that another attempt is used; how it sounds has not changed. */
  @Test
  void thatAnotherAttemptFillsItsCellChangesNothing() {
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, NONE, 10));
    assertEquals(Judgement.GOOD, say(CellStatus.RETAKE, NONE, 15));
    assertEquals(Judgement.GOOD, say(CellStatus.EXTRA, NONE, 15));
    assertEquals(Judgement.AGAIN, say(CellStatus.RETAKE, SCRATCH, 16), "what the other shows");
  }

  @Test
  void anAttemptAtAFullCellMayTurnOutTheBetterOne() {
    assertEquals(Judgement.EXTRA, say(CellStatus.RETAKE, NONE, 10));
    assertEquals(Judgement.EXTRA, say(CellStatus.RETAKE, SCRATCH, 11));
    assertEquals(Judgement.GOOD, say(CellStatus.KEPT, NONE, 12));
  }

  /** What seems to go on may be the next note, until that is known. */
  @Test
  void nothingIsCorrectedBeforeItIsKnownWhereTheNoteEnds() {
    assertEquals(Judgement.GOOD, told.say(1, 0, CellStatus.KEPT, NONE, NONE, Ear.QUICK, 0));
    assertEquals(Judgement.GOOD, told.say(1, 0, CellStatus.KEPT, WRONG, NONE, Ear.QUICK, RATE));
    assertEquals(Judgement.AGAIN, told.say(1, 0, CellStatus.KEPT, WRONG, NONE, Ear.SURE, 2 * RATE));
  }

  @Property(tries = 200)
  void whateverIsHeardAJudgementChangesOnceAndInTime(@ForAll @Size(min = 1, max = 40) int[] heard) {
    ToldJudgements any = new ToldJudgements(RATE);
    Set<?>[] flags = {NONE, SHORT, SCRATCH, WRONG};
    Judgement last = null;
    int changes = 0;
    for (int i = 0; i < heard.length; i++) {
      int what = Math.floorMod(heard[i], 20);
      @SuppressWarnings("unchecked")
      Set<Flag> flag = (Set<Flag>) flags[what % 4];
      Judgement now =
          any.say(
              1,
              0,
              CellStatus.values()[what / 4],
              flag,
              flag,
              heard[i] % 2 == 0 ? Ear.SURE : Ear.QUICK,
              i * RATE);
      changes += last != null && now != last ? 1 : 0;
      assertEquals(i <= 20 ? now : last, now, "after 20 s nothing changes");
      last = now;
    }
    assertEquals(Math.min(changes, 1), changes);
  }
}
