package takewright.library.take;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.segment.Blemishes;
import takewright.segment.Blemishes.Aperiodic;
import takewright.segment.Blemishes.Aperiodic.Band;
import takewright.segment.Region;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Correction;
import takewright.sheet.decision.FadeTimes;

/** Notes over which something lies, by how loud it is and how loud that of the others is. */
class AperiodicPartsTest {
  /** As a reed has it, and as a bow that changes has it, in dB relative to the note. */
  private static final double CALM = -40;

  private static final double RESTLESS = -12;

  private final List<KeptRegion> kept = new ArrayList<>();
  private final Take take = AnyTake.read();

  private void played(int midi, Aperiodic aperiodic, Correction correction) {
    Region region = AnyTake.note(kept.size(), midi, Blemishes.NONE.with(aperiodic));
    kept.add(new KeptRegion(take, region, new Cell(0, "a", midi, "mf", 1), correction));
  }

  private void played(int midi, double db) {
    played(midi, new Aperiodic(Band.NONE, new Band(db, db - 10), Band.NONE), Correction.NONE);
  }

  /** The notes that are found, as MIDI note numbers. */
  private List<Integer> midi(Set<Region> found) {
    return kept.stream()
        .filter(one -> found.contains(one.region()))
        .map(one -> one.cell().midi())
        .toList();
  }

  private List<Integer> found() {
    return midi(AperiodicParts.of(kept));
  }

  @Test
  void amongCalmNotesLessStandsOut() {
    for (int midi = 60; midi < 72; midi++) {
      played(midi, midi == 66 ? -18 : CALM);
    }
    assertEquals(List.of(66), found());
  }

  @Test
  void amongRestlessNotesItDoesNot() {
    for (int midi = 60; midi < 72; midi++) {
      played(midi, midi == 66 ? -9 : RESTLESS);
    }
    assertEquals(List.of(), found());
    played(72, -3);
    assertEquals(List.of(72), found());
  }

  /** A bow that changes in the middle of a note changes there each time. */
  @Test
  void whatANoteHasEachTimeItIsPlayedIsItsOwn() {
    for (int midi = 60; midi < 72; midi++) {
      played(midi, midi == 66 ? -18 : midi == 69 ? -8 : CALM);
      played(midi, midi == 66 ? -20 : CALM);
    }
    assertEquals(List.of(69), found());
  }

  /** One of the others may be flawed itself; two show how restless the player is. */
  @Test
  void oneOtherNoteMayBeFlawed() {
    for (int midi = 60; midi < 74; midi++) {
      played(midi, midi == 63 || midi == 68 ? -16 : CALM);
    }
    assertEquals(List.of(63, 68), found());
    played(74, -16);
    assertEquals(List.of(), found());
  }

  /** One calm note shows that something far louder is none of the next. */
  @Test
  void farMoreThanInAnyOtherStandsOutWithinFewNotes() {
    played(60, -60);
    played(61, -16);
    assertEquals(List.of(), found());
    kept.remove(1);
    // The least that counts is 28 dB under the note, and 14 dB more stands out.
    played(61, -13);
    assertEquals(List.of(61), found());
    kept.remove(0);
    assertEquals(List.of(), found());
  }

  /** The more notes have been calm, the less it takes. */
  @Test
  void aFewNotesShowLittle() {
    for (int midi = 60; midi < 80; midi++) {
      played(midi, midi == 63 || midi == 66 ? -18 : CALM);
      if (midi == 66) {
        assertEquals(List.of(), found());
      }
    }
    played(80, -18);
    kept.remove(3);
    assertEquals(List.of(66, 80), found());
  }

  /** As loud as the note itself is too loud, whatever comes. */
  @Test
  void ofTheFirstNoteWhatIsKnownFromElsewhereTells() {
    played(60, -2);
    played(61, -9);
    assertEquals(List.of(60), midi(NoisierThanBefore.of(kept, AnyTake.RATE)));
  }

  /** What was said of a note holds, whatever is played after it. */
  @Test
  void whileATakeIsRecordedOnlyTheNotesBeforeCount() {
    for (int midi = 60; midi < 80; midi++) {
      played(midi, midi == 62 || midi == 77 ? -18 : CALM);
    }
    assertEquals(List.of(62, 77), found());
    for (int count = 0; count <= kept.size(); count++) {
      List<Integer> soFar = midi(NoisierThanBefore.of(kept.subList(0, count), AnyTake.RATE));
      assertEquals(count > 17 ? List.of(77) : List.of(), soFar, count + " notes");
    }
  }

  /** The lowest partials of a bowed bass swell by themselves, however much of it is heard above. */
  @Test
  void whatSwellsLowDownInALowNoteIsItsOwn() {
    for (int midi : new int[] {36, 60}) {
      played(midi, new Aperiodic(new Band(-5, -8), new Band(-6, -20), Band.NONE), Correction.NONE);
    }
    assertEquals(List.of(60), found());
  }

  /** A bow that changes may be loud for a moment, or restless throughout. */
  @Test
  void whatOneMeasureTellsIsNotEnoughBelowTheHighBand() {
    Band most = new Band(-5, -30);
    Band all = new Band(-20, -8);
    played(60, new Aperiodic(most, Band.NONE, Band.NONE), Correction.NONE);
    played(61, new Aperiodic(Band.NONE, all, Band.NONE), Correction.NONE);
    assertEquals(List.of(), found());
    played(62, new Aperiodic(most, most, Band.NONE), Correction.NONE);
    played(63, new Aperiodic(Band.NONE, new Band(-5, -8), Band.NONE), Correction.NONE);
    assertEquals(List.of(62, 63), found());
    kept.clear();
    played(60, new Aperiodic(Band.NONE, Band.NONE, most), Correction.NONE);
    played(61, new Aperiodic(Band.NONE, Band.NONE, all), Correction.NONE);
    assertEquals(List.of(60, 61), found());
  }

  @Test
  void whoeverHasSetItsBoundsHasDecided() {
    Band loud = new Band(0, 0);
    Correction moved =
        new Correction(1.0, null, null, null, null, null, null, FadeTimes.USUAL, Set.of());
    played(60, new Aperiodic(loud, loud, loud), moved);
    assertEquals(List.of(), found());
  }
}
