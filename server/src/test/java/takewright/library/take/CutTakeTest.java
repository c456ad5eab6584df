package takewright.library.take;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;

import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.audio.Recording;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.Fills;
import takewright.sheet.Span;
import takewright.sheet.Take;
import takewright.sheet.TakeLines;
import takewright.sheet.TakePlan;
import takewright.sheet.TakeRules;
import takewright.sheet.Treatment;

/** What of a take is no sample, however it sounds. */
class CutTakeTest {
  private static final int RATE = 48_000;

  private static Region sounding(double seconds) {
    long end = 480 + Math.round(seconds * RATE);
    return new Region(
        0, 480, end, Kind.PITCHED, new Pitch(60, 0, 261.6, 1), 1, false, Set.of(), -12, -20);
  }

  /** Two minutes are longer than any note is held: somebody played through (common practice). */
  @Test
  void whatGoesOnForMinutesIsNoSample() {
    List<Region> found = List.of(sounding(110), sounding(130));
    List<Region> joined = CutTake.joined(take(), found, RATE, true);
    assertEquals(List.of(false, true), joined.stream().map(Region::rejected).toList());
    assertEquals(Set.of(), joined.get(0).flags());
    assertEquals(Set.of(Flag.TOO_LONG), joined.get(1).flags());
  }

  private static Region ringing(double atS) {
    return flagged(atS, Set.of(Flag.RINGS_ON));
  }

  private static Region flagged(double atS, Set<Flag> flags) {
    long onset = Math.round(atS * RATE);
    return new Region(
        onset - 480,
        onset,
        onset + RATE / 2,
        Kind.PITCHED,
        new Pitch(60, 0, 261.6, 1),
        1,
        false,
        flags,
        -12,
        -20);
  }

  private static List<Set<Flag>> flags(TakeRules rules, Region... found) {
    return flags(rules, true, found);
  }

  private static List<Set<Flag>> flags(TakeRules rules, boolean isOver, Region... found) {
    return CutTake.joined(take(rules), List.of(found), RATE, isOver).stream()
        .map(Region::flags)
        .toList();
  }

  /** Nobody knows yet whether the notes are to ring, so the player is not stopped for it. */
  @Test
  void theFirstNotesOfATakeMayRingWhileItIsRecorded() {
    TakeRules usual = TakeRules.DEFAULTS;
    Region[] first = {ringing(1), flagged(2, Set.of())};
    assertEquals(List.of(Set.of(), Set.of()), flags(usual, false, first));
    assertEquals(List.of(Set.of(Flag.RINGS_ON), Set.of()), flags(usual, true, first));
    Region[] more = {ringing(1), flagged(2, Set.of()), flagged(3, Set.of())};
    assertEquals(List.of(Set.of(Flag.RINGS_ON), Set.of(), Set.of()), flags(usual, false, more));
  }

  /** One note that rings into the next is a fault unless the sheet says that it is on purpose. */
  @Test
  void aTailThatIsCutIsFlaggedUnlessTheNotesAreToRing() {
    TakeRules usual = TakeRules.DEFAULTS;
    TakeRules ring =
        new TakeRules(
            usual.cutting().ringing(true), usual.cleaningDb(), usual.tuning(), usual.levels());
    Region[] one = {ringing(1), flagged(2, Set.of()), flagged(3, Set.of())};
    assertEquals(List.of(Set.of(Flag.RINGS_ON), Set.of(), Set.of()), flags(usual, one));
    assertEquals(List.of(Set.of(), Set.of(), Set.of()), flags(ring, one));
    Region[] all = {ringing(1), ringing(2), ringing(3), flagged(4, Set.of())};
    assertEquals(List.of(Set.of(), Set.of(), Set.of(), Set.of()), flags(usual, all));
    assertEquals("let_ring", RingingNotes.doubt(take(usual), List.of(all)).problem().field());
    assertNull(RingingNotes.doubt(take(ring), List.of(all)));
    assertNull(RingingNotes.doubt(take(usual), List.of(one)));
  }

  private static Take take() {
    return take(TakeRules.DEFAULTS);
  }

  private static Take take(TakeRules rules) {
    return new Take(
        0,
        TakeLines.at(3),
        "a.wav",
        Map.of("close", Recording.of(Path.of("a.wav"))),
        Span.WHOLE,
        "swell",
        Kind.PITCHED,
        new TakePlan(
            List.of(60),
            List.of("mf"),
            1,
            List.of(Take.Axis.NOTE, Take.Axis.DYNAMIC, Take.Axis.RR)),
        Fills.OWN,
        null,
        10,
        rules,
        List.of(),
        List.of(),
        Treatment.usual(Kind.PITCHED),
        null);
  }
}
