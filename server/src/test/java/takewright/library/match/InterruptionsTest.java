package takewright.library.match;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.testing.HeldTone;

/** What regions that touch say of each other. */
class InterruptionsTest {
  private static final int RATE = 48_000;
  private static final int LEAD_IN = 480;

  private final List<Region> regions = new ArrayList<>();
  private long at;
  private int leadIn = LEAD_IN;

  /** A sound of a second that follows at once, is softer and is not heard up to its end. */
  private void add(Pitch pitch, double softerDb, long hiddenFrames, Flag... flags) {
    regions.add(
        new Region(
            at,
            at + leadIn,
            at + RATE,
            Kind.PITCHED,
            pitch,
            1,
            pitch == null,
            Set.of(flags),
            -10,
            -18 - softerDb,
            Blemishes.NONE.with(new Blemishes.Ending(hiddenFrames, 0, 0)),
            null));
    at += RATE;
  }

  private void note(int midi, double softerDb, long hiddenFrames) {
    add(Pitch.of(HeldTone.hz(midi), 440, 1), softerDb, hiddenFrames);
  }

  private boolean goesOver() {
    return new Interruptions(regions, RATE).goesOver(0, next -> false);
  }

  /** The lead-in of the word belongs to the pause; a sheet may ask for none. */
  @Test
  void aNoteThatWasOverForAWhileBeforeAWordIsNotBrokenInto() {
    for (int asked : new int[] {0, LEAD_IN}) {
      for (int more : new int[] {0, 1}) {
        leadIn = asked;
        regions.clear();
        note(60, 0, (long) (0.3 * RATE) - asked + more);
        add(null, 0, 0, Flag.TALK);
        assertEquals(more == 0, goesOver());
        assertEquals(more == 0, new Interruptions(regions, RATE).isBrokenInto(0, next -> false));
      }
    }
  }

  /** A note begun on the wrong one fills no cell, and is no word. */
  @Test
  void aNoteDoesNotGoOverIntoAnotherAttemptAtIt() {
    for (int midi : new int[] {58, 59, 60, 61, 62, 63}) {
      regions.clear();
      note(60, 0, 0);
      note(midi, 0, 0);
      assertEquals(midi == 63, goesOver(), "" + midi);
    }
  }

  /**
   * A chair that rings a semitone beside the note is no beginning of it: nobody plays so softly.
   */
  @Test
  void whatIsFarSofterIsNoBeginning() {
    for (double softer : new double[] {0, 14, 16}) {
      regions.clear();
      beginning(61, softer, 0.3);
      note(60, 0, 0);
      assertEquals(softer < 15, new Interruptions(regions, RATE).isContinued(1), softer + " dB");
    }
  }

  /** While a player slides to the right note it may be heard to set in several times. */
  @Test
  void aNoteGoesOnFromAWrongBeginningBehindItsFirstPieces() {
    beginning(61, 0, 0.3);
    beginning(60, 0, 0.2, Flag.RINGS_ON);
    beginning(60, 0, 0.25, Flag.RINGS_ON);
    note(60, 0, 0);
    Interruptions all = new Interruptions(regions, RATE);
    assertEquals(true, all.isBeginning(0));
    assertEquals(true, all.isContinued(3));
  }

  private void beginning(int midi, double softerDb, double seconds, Flag... flags) {
    add(Pitch.of(HeldTone.hz(midi), 440, 1), softerDb, 0, flags);
    Region whole = regions.remove(regions.size() - 1);
    at = whole.start() + (long) (seconds * RATE);
    regions.add(whole.until(at));
  }

  @Test
  void aNoteBeginsWhileTheOneBeforeRingsIfThatIsHeardUpToItsEnd() {
    note(60, 0, 0);
    note(62, 0, 1);
    note(64, 0, 0);
    add(Pitch.of(HeldTone.hz(60), 440, 1), 0, 0, Flag.IN_TAIL);
    at += RATE;
    note(62, 0, 0);
    Interruptions all = new Interruptions(regions, RATE);
    List<Boolean> rungInto = new ArrayList<>();
    for (int i = 0; i < regions.size(); i++) {
      rungInto.add(all.isRungInto(i));
    }
    assertEquals(List.of(false, true, false, true, false), rungInto);
  }

  /** It ends where the take does. */
  @Test
  void theLastSoundIsNotBrokenInto() {
    note(60, 0, 0);
    assertEquals(false, goesOver());
  }
}
