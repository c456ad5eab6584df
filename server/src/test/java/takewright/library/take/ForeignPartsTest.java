package takewright.library.take;

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
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Correction;
import takewright.testing.HeldTone;

/** Notes of which a part is something else, by what was measured of them. */
class ForeignPartsTest {
  private static final int RATE = 48_000;

  private final List<Region> regions = new ArrayList<>();
  private final List<KeptRegion> kept = new ArrayList<>();
  private final Take take = AnyTake.read();
  private long at;

  private void played(int midi, Blemishes blemishes) {
    Pitch pitch = Pitch.of(HeldTone.hz(midi), 440, 1);
    add(pitch, Set.of(), blemishes);
    kept.add(
        new KeptRegion(
            take,
            regions.get(regions.size() - 1),
            new Cell(0, "a", midi, "mf", 1),
            Correction.NONE));
    at += RATE;
  }

  private void add(Pitch pitch, Set<Flag> flags, Blemishes blemishes) {
    long end = at + 2 * RATE;
    boolean isRejected = !flags.isEmpty();
    regions.add(
        new Region(
            at, at, end, Kind.PITCHED, pitch, 1, isRejected, flags, -10, -18, blemishes, null));
    at = end;
  }

  private static Blemishes beside(double dbS, double db) {
    return Blemishes.NONE.with(new Blemishes.Beside(dbS, db, 0));
  }

  private static Blemishes edges(double lateS, double behindDbS) {
    return Blemishes.NONE
        .with(new Blemishes.NoteStart(0, lateS))
        .with(new Blemishes.Ending(0, behindDbS, 0));
  }

  /** The notes that are found, as MIDI note numbers. */
  private List<Integer> found() {
    Set<Region> found = ForeignParts.of(regions, kept, RATE);
    return kept.stream()
        .filter(one -> found.contains(one.region()))
        .map(one -> one.cell().midi())
        .toList();
  }

  @Test
  void aWordBeforeOrBehindANoteIsFoundByTheNoteAlone() {
    played(60, edges(0.5, 0));
    played(61, edges(0.4, 1.9));
    played(62, edges(0, 2.5));
    assertEquals(List.of(60, 62), found());
  }

  @Test
  void aWordBeforeMuchOfAShortNoteIsFound() {
    assertEquals(true, isLate(0.9, 0.32));
    assertEquals(false, isLate(1, 0.32));
    assertEquals(true, isLate(0.1, 0.12));
    assertEquals(false, isLate(0.1, 0.11));
  }

  /** A double bass needs a third of a second for its lowest notes. */
  @Test
  void aLowNoteMayComeToItsPitchLate() {
    assertEquals(true, isLate(60, 0.6, 0.3));
    assertEquals(false, isLate(30, 0.6, 0.3));
    assertEquals(true, isLate(30, 0.6, 0.4));
  }

  /** Nobody makes the same mistake twice. */
  @Test
  void whatANoteHasEachTimeItIsPlayedIsItsOwn() {
    for (int time = 0; time < 2; time++) {
      played(60, edges(0.5, 0));
      played(61, edges(0, 2.5));
      played(62, edges(time == 0 ? 0.5 : 0.1, time == 0 ? 0 : 2.5));
    }
    assertEquals(List.of(62, 62), found());
    regions.clear();
    kept.clear();
    for (int midi = 60; midi < 66; midi++) {
      played(midi, beside(midi == 62 || midi == 64 ? 1.2 : 0.1, 16));
      played(midi, beside(midi == 62 ? 1.1 : 0.1, 16));
    }
    assertEquals(List.of(64), found());
  }

  private static boolean isLate(double heardS, double lateS) {
    return isLate(60, heardS, lateS);
  }

  private static boolean isLate(int midi, double heardS, double lateS) {
    long end = (long) (heardS * RATE);
    Pitch pitch = Pitch.of(HeldTone.hz(midi), 440, 1);
    Blemishes late = edges(lateS, 0);
    Region note =
        new Region(0, 0, end, Kind.PITCHED, pitch, 1, false, Set.of(), -10, -18, late, null);
    return ForeignParts.isLate(note, RATE);
  }

  @Test
  void moreBesideANoteThanBesideThoseAroundItIsFound() {
    for (int midi = 60; midi < 66; midi++) {
      played(midi, beside(midi == 62 ? 1.2 : midi == 65 ? 0.9 : 0.1, 16));
    }
    assertEquals(List.of(62, 65), found());
  }

  /** Notes of a bow have much beside them, all of them. */
  @Test
  void whatAllHaveIsTheInstruments() {
    for (int midi = 60; midi < 66; midi++) {
      played(midi, beside(midi == 62 ? 5 : 3, 16));
    }
    assertEquals(List.of(), found());
  }

  /** Nothing lies between the partials of a low note, so that what is beside it may be its own. */
  @Test
  void whatSwellsInALowNoteIsItsOwn() {
    for (int midi : new int[] {34, 36, 38, 60, 61, 62}) {
      played(midi, beside(midi == 38 || midi == 61 ? 4 : 0, 17));
    }
    kept.remove(kept.size() - 2);
    assertEquals(List.of(), found());
    kept.remove(2);
    played(63, beside(4, 17));
    assertEquals(List.of(63), found());
  }

  @Test
  void littleBesideANoteIsNothing() {
    for (int midi = 60; midi < 66; midi++) {
      played(midi, midi == 62 ? beside(0.2, 30) : midi == 64 ? beside(3, 10) : beside(0, 0));
    }
    assertEquals(List.of(), found());
  }

  @Test
  void aNoteThatAWordBreaksOffIsFound() {
    played(60, Blemishes.NONE);
    at -= RATE;
    add(null, Set.of(Flag.TALK), Blemishes.NONE);
    played(61, Blemishes.NONE);
    add(null, Set.of(Flag.TALK), Blemishes.NONE); // a second later
    assertEquals(List.of(60), found());
  }

  /** Its tail is only supposed where it is not heard; a word has a lead-in of its own. */
  @Test
  void aNoteThatWasOverForAWhileBeforeAWordIsNotFound() {
    for (double hiddenS : new double[] {0.3, 0.31}) {
      regions.clear();
      kept.clear();
      played(60, Blemishes.NONE.with(new Blemishes.Ending((long) (hiddenS * RATE), 0, 0)));
      at -= RATE;
      add(null, Set.of(Flag.TALK), Blemishes.NONE);
      assertEquals(hiddenS > 0.3 ? List.of() : List.of(60), found());
    }
  }

  /** As the notes around show, it was over before the word. */
  @Test
  void aNoteThatHadRungOutBeforeAWordIsNotFound() {
    long hidden = RATE; // of two seconds
    for (int midi = 60; midi < 64; midi++) {
      played(midi, Blemishes.NONE.with(new Blemishes.Ending(hidden, 0, 0)));
    }
    played(64, Blemishes.NONE);
    at -= RATE;
    add(null, Set.of(Flag.TALK), Blemishes.NONE);
    assertEquals(List.of(), found());
    regions.remove(0);
    kept.remove(0);
    assertEquals(List.of(64), found());
  }
}
