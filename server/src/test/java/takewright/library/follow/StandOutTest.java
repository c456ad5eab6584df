package takewright.library.follow;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.LiveSegment.Brief;
import takewright.segment.Region;
import takewright.testing.HeldTone;

/** Short notes, by how harsh each is and how harsh those before were. */
class StandOutTest {
  private static final int RATE = 1000;

  private final StandOut standOut = new StandOut();

  private static Region note(int midi) {
    Pitch pitch = Pitch.of(HeldTone.hz(midi), 440, 1);
    return new Region(0, 0, RATE / 3, Kind.PITCHED, pitch, 1, false, Set.of(), -10, -18);
  }

  private boolean isDoubted(int midi, double harshDb) {
    return standOut.isUnlikeOthers(note(midi), new Brief(harshDb, 0, 0));
  }

  private void good(int midi, double... harshDb) {
    for (double db : harshDb) {
      standOut.add(note(midi), new Brief(db, 0, 0), true);
    }
  }

  @Test
  void theFirstNoteOfATakeIsHeldAgainstNothing() {
    assertEquals(false, isDoubted(60, -10));
  }

  /** The last ear found no pitch in it, too late for another word. */
  @Test
  void whatHasNoPitchAfterAllShowsNothing() {
    Region none = note(60);
    none =
        new Region(
            0,
            0,
            none.end(),
            Kind.PITCHED,
            null,
            1,
            true,
            Set.of(),
            none.peakDbfs(),
            none.levelDbfs());
    standOut.add(none, new Brief(-40, 0, 0), true);
    assertEquals(false, isDoubted(61, -10));
  }

  @Test
  void oneOrTwoNotesShowNotHowHarshOthersAre() {
    good(60, -34, -33.2);
    assertEquals(false, isDoubted(61, -10));
    good(61, -35);
    assertEquals(true, isDoubted(62, -23));
  }

  /** One of them may be scratched as well. */
  @Test
  void aScratchIsHarsherThanAllOfThreeNotesButOne() {
    good(60, -34, -27, -22);
    assertEquals(false, isDoubted(61, -23.1));
    assertEquals(true, isDoubted(61, -22.9));
  }

  /** Some bars and strings are harsh by themselves, which the same note has shown before. */
  @Test
  void aNoteIsHeldAgainstTheSameNoteFirst() {
    good(60, -40, -41, -42);
    assertEquals(true, isDoubted(66, -22));
    good(66, -23);
    assertEquals(false, isDoubted(66, -19.5));
    assertEquals(true, isDoubted(66, -18.5));
    assertEquals(true, isDoubted(67, -22));
  }

  @Test
  void whatNobodyHearsIsNoScratch() {
    good(60, -50, -50, -50);
    assertEquals(false, isDoubted(61, -24.5));
    assertEquals(true, isDoubted(61, -23.5));
    assertEquals(false, isDoubted(61, Double.NaN));
  }

  private boolean isKnocked(int midi, double burstDb) {
    return standOut.isUnlikeOthers(note(midi), new Brief(-50, burstDb, 0));
  }

  private void played(int midi, double... burstDb) {
    for (double db : burstDb) {
      standOut.add(note(midi), new Brief(-50, db, 0), false);
    }
  }

  /** A reed's lowest notes begin with a burst, whoever plays them: nobody knocks twice alike. */
  @Test
  void aBurstThatANoteHasEachTimeIsItsOwn() {
    assertEquals(true, isKnocked(60, 11.5), "nothing shows yet that it is the note's");
    assertEquals(false, isKnocked(60, 9.5), "bows burst as far");
    played(60, 11.5);
    assertEquals(false, isKnocked(60, 12.5));
    assertEquals(true, isKnocked(60, 16));
    played(60, 0);
    assertEquals(true, isKnocked(60, 12.5), "not each time");
    assertEquals(true, isKnocked(61, 11.5));
  }

  @Test
  void aBurstThatTwoOtherNotesHaveIsTheInstruments() {
    played(60, 0, 12);
    assertEquals(true, isKnocked(61, 11), "one of them may be knocked as well");
    played(62, 11);
    assertEquals(false, isKnocked(61, 11));
    assertEquals(true, isKnocked(61, 15.5));
  }
}
