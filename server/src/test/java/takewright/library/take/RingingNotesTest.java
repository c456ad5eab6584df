package takewright.library.take;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.segment.Blemishes;
import takewright.segment.Region;

/** Whether a take is played so that its notes ring into the next ones. */
class RingingNotesTest {
  private final List<Region> regions = new ArrayList<>();

  private RingingNotesTest played(int midi, Flag... flags) {
    regions.add(AnyTake.note(regions.size(), midi, Blemishes.NONE, flags));
    return this;
  }

  /** Makes the last one shorter: AnyTake's notes are two seconds long. */
  private void shortened(double seconds) {
    int last = regions.size() - 1;
    Region region = regions.get(last);
    regions.set(last, region.until(region.onset() + Math.round(seconds * AnyTake.RATE)));
  }

  private Set<Flag> flags(int index) {
    return RingingNotes.unflagged(AnyTake.read(), regions, true).get(index).flags();
  }

  /**
   * A loud note rings into a softer one, which begins in its tail; what a soft note leaves is
   * hardly heard beside a loud one. So three of 17 notes that the next one follows show how all are
   * played, three of 18 do not.
   */
  @Test
  void aFewNotesThatRingIntoTheNextShowHowATakeIsPlayed() {
    played(60, Flag.RINGS_ON).played(60).played(64, Flag.IN_TAIL).played(64, Flag.RINGS_ON);
    while (regions.size() < 18) {
      played(65);
    }
    assertEquals(Set.of(), flags(0));
    assertEquals(Set.of(), flags(2));
    played(65);
    assertEquals(Set.of(Flag.RINGS_ON), flags(0));
    assertEquals(Set.of(Flag.IN_TAIL), flags(2));
  }

  /**
   * Most notes have sunk too far to be cut loud where the next one begins, or to be heard beside
   * it: that they are still heard shows how all are played.
   */
  @Test
  void notesThatAreHeardUpToTheNextOneShowHowATakeIsPlayed() {
    played(60, Flag.RINGS_ON).played(60).played(64).played(64).played(65);
    assertEquals(Set.of(Flag.RINGS_ON), flags(0));
    regions.set(1, regions.get(1).until(regions.get(2).start()));
    assertEquals(Set.of(Flag.RINGS_ON), flags(0));
    regions.set(2, regions.get(2).until(regions.get(3).start()));
    assertEquals(Set.of(), flags(0));
  }

  /** Two may be mistakes, however short the take; the last of all rings into nothing. */
  @Test
  void twoNotesThatRingIntoTheNextShowNothing() {
    played(60, Flag.RINGS_ON).played(60, Flag.RINGS_ON).played(64, Flag.RINGS_ON);
    assertEquals(Set.of(Flag.RINGS_ON), flags(0));
    played(64);
    assertEquals(Set.of(), flags(0));
  }

  /** A player who begins on the wrong note leaves no pause before the right one. */
  @Test
  void aNoteBegunOnTheWrongOneIsNoSuchNote() {
    played(60, Flag.RINGS_ON).played(61).played(63, Flag.RINGS_ON).played(64);
    played(68, Flag.RINGS_ON);
    shortened(0.5);
    played(67);
    assertEquals(Set.of(Flag.RINGS_ON), flags(0));
    regions.set(4, regions.get(4).until(regions.get(4).onset() + AnyTake.RATE));
    assertEquals(Set.of(), flags(0));
  }

  /** A word that breaks into a note, or begins in its tail, says nothing of how long it rings. */
  @Test
  void aNoteThatRingsIntoAWordIsNoSuchNote() {
    played(60, Flag.RINGS_ON).played(61).played(63, Flag.RINGS_ON).played(64, Flag.RINGS_ON);
    played(65);
    regions.set(4, regions.get(4).marked(true, Set.of(Flag.TALK)));
    assertEquals(Set.of(Flag.RINGS_ON), flags(0));
    regions.set(4, regions.get(4).marked(false, Set.of()));
    assertEquals(Set.of(), flags(0));
  }
}
