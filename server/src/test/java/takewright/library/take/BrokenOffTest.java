package takewright.library.take;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Correction;
import takewright.testing.HeldTone;

/** Notes that are broken off, by how long they and their neighbours are and how they end. */
class BrokenOffTest {
  private static final int RATE = 48_000;

  /** How far strings that die away fall within 60 ms, and notes that are stopped, in dB. */
  private static final double DIES_AWAY = 10;

  private static final double STOPS = 40;

  private final List<KeptRegion> kept = new ArrayList<>();
  private final Take take = AnyTake.read();
  private long at;

  /** 0 of notes that the next one ends. */
  private long hiddenFrames = RATE / 10;

  private void played(int midi, double seconds, double stopDb) {
    played(midi, "mf", seconds, stopDb);
  }

  private void played(int midi, String dynamic, double seconds, double stopDb) {
    Pitch pitch = Pitch.of(HeldTone.hz(midi), 440, 1);
    long end = at + (long) (seconds * RATE);
    Blemishes blemishes = Blemishes.NONE.with(new Blemishes.Ending(hiddenFrames, 0, stopDb));
    Region region =
        new Region(at, at, end, Kind.PITCHED, pitch, 1, false, Set.of(), -10, -18, blemishes, null);
    kept.add(new KeptRegion(take, region, new Cell(0, "a", midi, dynamic, 1), Correction.NONE));
    at = end + RATE;
  }

  /** The notes that are found, as MIDI note numbers. */
  private List<Integer> found() {
    Set<Region> found = BrokenOff.of(kept, RATE);
    return kept.stream()
        .filter(one -> found.contains(one.region()))
        .map(one -> one.cell().midi())
        .toList();
  }

  @Test
  void theSecondNoteIsFoundWhereTheFirstDiedAway() {
    played(60, 5, DIES_AWAY);
    played(61, 3, STOPS);
    assertEquals(List.of(61), found());
  }

  /** Nobody knows how long notes a fourth away are. */
  @Test
  void oneNoteFarAwayTellsNothing() {
    played(60, 5, DIES_AWAY);
    played(65, 3, STOPS);
    assertEquals(List.of(), found());
  }

  @Test
  void whereAllAreStoppedSeveralMustShowHowLongTheyAre() {
    played(60, 5, STOPS);
    played(61, 2.8, STOPS);
    assertEquals(List.of(), found());
    played(62, 5.5, STOPS);
    played(63, 6, STOPS);
    assertEquals(List.of(61), found());
  }

  /** Two that are near agree on how long notes are, where one alone may be long by chance. */
  @Test
  void lessThanHalfAsLongAsNotesNearThatAgreeIsBrokenOff() {
    played(60, 6.2, STOPS);
    played(62, 6.4, STOPS);
    played(63, 2.9, STOPS);
    assertEquals(List.of(63), found());
    kept.clear();
    played(60, 6.2, STOPS);
    played(62, 8, STOPS);
    played(63, 2.9, STOPS);
    assertEquals(List.of(), found(), "they do not agree");
    kept.clear();
    played(60, 6.2, STOPS);
    played(62, 6.4, STOPS);
    played(63, 3.3, STOPS);
    assertEquals(List.of(), found(), "more than half as long");
    kept.clear();
    played(60, 6.2, STOPS);
    played(63, 2.9, STOPS);
    assertEquals(List.of(), found(), "one alone");
  }

  @Test
  void aShorterNoteThatDiesAwayIsWhole() {
    for (int midi = 60; midi < 66; midi++) {
      played(midi, midi == 63 ? 2.5 : 5, DIES_AWAY);
    }
    assertEquals(List.of(), found());
  }

  @Test
  void aNoteThatDiesAwayWhereTheOthersAreStoppedIsWhole() {
    for (int midi = 60; midi < 66; midi++) {
      played(midi, midi == 63 ? 2.5 : 5, midi == 63 ? 25 : STOPS);
    }
    assertEquals(List.of(), found());
  }

  @Test
  void aNoteHardlyShorterThanTheShortestIsWhole() {
    for (int midi = 60; midi < 66; midi++) {
      played(midi, midi == 61 ? 5 : midi == 63 ? 3.4 : 8, midi == 63 ? STOPS : DIES_AWAY);
    }
    assertEquals(List.of(), found());
  }

  /** As round robins are, which one player plays alike. */
  @Test
  void theSecondNoteOfATakeIsFoundBesideTheSameNote() {
    played(60, 5, STOPS);
    played(60, 2, STOPS);
    assertEquals(List.of(60), found());
    kept.clear();
    played(60, 5, STOPS);
    played(60, 3.5, STOPS);
    assertEquals(List.of(), found());
  }

  /** However long the others are, by the shortest of which it is not told. */
  @Test
  void aNoteFarShorterThanTheSameNoteIsFoundAmongOthersOfAllLengths() {
    for (int midi = 60; midi < 64; midi++) {
      played(midi, midi == 61 ? 2 : 5, STOPS);
    }
    played(63, 1.9, STOPS);
    assertEquals(List.of(63), found());
    kept.clear();
    for (int midi = 60; midi < 64; midi++) {
      played(midi, midi == 61 ? 2 : 5, STOPS);
    }
    played(63, 2.3, STOPS);
    assertEquals(List.of(), found());
  }

  /** As one is that is stopped on purpose: a note that is merely played shorter stops alike. */
  @Test
  void aNoteThatStopsHarderThanTheSameNoteIsFoundWhereItIsHalfAsLong() {
    for (int midi = 60; midi < 64; midi++) {
      played(midi, midi == 61 ? 2 : 5, STOPS);
    }
    played(63, 5.5, STOPS + 2);
    played(63, 2.6, STOPS + 3);
    assertEquals(List.of(63), found());
    kept.remove(kept.size() - 1);
    played(63, 2.6, STOPS + 1);
    assertEquals(List.of(), found());
    kept.remove(kept.size() - 1);
    played(63, 2.9, STOPS + 3);
    assertEquals(List.of(), found());
  }

  /** One that dies away is whole, though all others are heard to die away more slowly. */
  @Test
  void aNoteThatHardlyStopsIsWholeThoughTheSameNoteStoppedLess() {
    played(60, 5, 5);
    played(60, 2.6, 15);
    played(67, 5, 15);
    assertEquals(List.of(), found());
  }

  /** A minor third away notes are about as long. */
  @Test
  void theSecondNoteOfATakeIsFoundWhereItIsFarShorterThanOneNearby() {
    played(60, 5, STOPS);
    played(63, 1.7, STOPS);
    assertEquals(List.of(63), found());
    kept.clear();
    played(60, 5, STOPS);
    played(63, 1.9, STOPS);
    played(67, 0.5, STOPS);
    assertEquals(List.of(), found());
  }

  /** What is heard of a note goes on a little longer than it does: nearly half of a short one. */
  @Test
  void ofAShortNoteWhatIsHeardAfterItIsLeftOut() {
    played(60, 0.8, STOPS);
    played(60, 0.42, STOPS);
    assertEquals(List.of(60), found());
  }

  /** The room behind a bar of a tenth of a second makes it seem twice as long now and then. */
  @Test
  void aTenthOfASecondLessIsNothing() {
    played(88, 0.4, STOPS);
    played(88, 0.24, STOPS);
    assertEquals(List.of(), found());
  }

  /**
   * Nobody makes the same mistake at every note: soft ones may be played shorter than loud ones.
   */
  @Test
  void softNotesMayAllBeShorterThanLoudOnes() {
    for (int midi = 60; midi < 63; midi++) {
      played(midi, "f", 4, STOPS);
      played(midi, "p", 1, STOPS);
    }
    assertEquals(List.of(), found());
  }

  /** Nobody knows how long the one before would have been. */
  @Test
  void aNoteThatTheNextOneEndsShowsNoLength() {
    hiddenFrames = 0;
    played(60, 5, STOPS);
    played(62, 1, STOPS);
    assertEquals(List.of(), found());
  }

  /** A word went on behind the one note that is near. */
  @Test
  void oneNoteThatDiesAwayAmongManyThatAreStoppedIsTheException() {
    for (int midi = 50; midi < 55; midi++) {
      played(midi, 6, STOPS);
    }
    played(64, 4, DIES_AWAY);
    played(64, 2.5, STOPS);
    assertEquals(List.of(), found());
  }

  /** The room hides a soft note sooner. */
  @Test
  void aSoftNoteIsHeldAgainstSoftOnes() {
    for (int midi = 60; midi < 64; midi++) {
      played(midi, "f", 5, 50);
      played(midi, "p", 5, 32);
    }
    played(62, "f", 5, 50);
    played(63, "p", 2, 30);
    assertEquals(List.of(63), found());
  }
}
