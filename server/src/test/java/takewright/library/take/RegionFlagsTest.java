package takewright.library.take;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.library.match.Matching;
import takewright.library.match.TakeAlignment;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Blemishes.Aperiodic;
import takewright.segment.Blemishes.Aperiodic.Band;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.read.SheetReader;

/** What is wrong with the sounds of a take, said before any sample is made of them. */
class RegionFlagsTest {
  private static final int RATE = 48_000;

  private final List<Region> regions = new ArrayList<>();
  private long at;

  /** A sound, and a second of room. */
  private void played(double semitones, double seconds, double confidence, Blemishes blemishes) {
    long end = at + (long) (seconds * RATE);
    Pitch pitch = Pitch.of(440 * Math.pow(2, (semitones - 69) / 12), 440, confidence);
    regions.add(
        new Region(
            at, at + 480, end, Kind.PITCHED, pitch, 1, false, Set.of(), -10, -18, blemishes, null));
    at = end + RATE;
  }

  private void played(double semitones, double seconds) {
    played(semitones, seconds, 1, Blemishes.NONE);
  }

  private List<Set<Flag>> flags(String notes, String dynamics) throws IOException {
    Sheet sheet =
        SheetReader.read(
            Path.of("/nowhere/session.yaml"),
            """
            library: Invented
            takes:
              - {file: take.wav, articulation: a, notes: %s, dynamics: %s}
            """
                .formatted(notes, dynamics));
    Take take = sheet.takes().get(0);
    Matching matching = TakeAlignment.match(regions, sheet.cells(take), RATE);
    return RegionFlags.of(take, regions, sheet.cells(take), matching, RATE);
  }

  @Test
  void aScratchAndAWrongBeginningAreTold() throws IOException {
    played(60, 3);
    played(61, 3, 1, Blemishes.NONE.with(new Blemishes.Beside(3, 28, 0)));
    played(62, 3, 1, Blemishes.NONE.with(new Blemishes.NoteStart(0.4, 0)));
    assertEquals(
        List.of(Set.of(), Set.of(Flag.DISTURBED), Set.of(Flag.WRONG_START)),
        flags("C4..D4", "[f]"));
  }

  @Test
  void aNoteBrokenOffIsToldByTheNotesAroundIt() throws IOException {
    for (int midi = 60; midi < 65; midi++) {
      played(midi, midi == 64 ? 1 : 3);
    }
    assertEquals(Set.of(Flag.ODD_LENGTH), flags("C4..E4", "[f]").get(4));
  }

  /** As a string that dies away, and a bow that is taken off: two notes are enough. */
  @Test
  void aNoteThatStopsWhereAnotherDiedAwayIsTold() throws IOException {
    played(60, 5, 1, Blemishes.NONE.with(new Blemishes.Ending(0, 0, 10)));
    played(61, 3, 1, Blemishes.NONE.with(new Blemishes.Ending(0, 0, 40)));
    assertEquals(List.of(Set.of(), Set.of(Flag.ODD_LENGTH)), flags("C4..C#4", "[f]"));
  }

  /**
   * As bars of a vibraphone: up to one note they ring for seconds, from the next on they do not.
   */
  @Test
  void aNoteBeyondTheOthersThatEndsByItselfIsAsShortAsItIs() throws IOException {
    for (boolean isDownwards : new boolean[] {false, true}) {
      for (long hidden : new long[] {0, RATE / 10}) {
        regions.clear();
        for (int rr = 1; rr <= 3; rr++) {
          played(60, 4);
        }
        Blemishes ending = Blemishes.NONE.with(new Blemishes.Ending(hidden, 0, 40));
        played(isDownwards ? 54 : 66, 0.3, 1, ending);
        String notes = isDownwards ? "[C4, F#3]" : "[C4, F#4]";
        Set<Flag> odd = hidden == 0 ? Set.of(Flag.ODD_LENGTH) : Set.of();
        assertEquals(odd, flags(notes, "[f], round_robins: 3").get(3), notes);
      }
    }
  }

  /** A note between the others, or one that sounded for longer before, should not be as short. */
  @Test
  void aNoteThatEndsByItselfIsTooShortBesideLongerOnesOnEitherSide() throws IOException {
    Blemishes ending = Blemishes.NONE.with(new Blemishes.Ending(RATE / 10, 0, 10));
    for (int midi = 60; midi < 65; midi++) {
      played(midi, midi == 63 ? 0.3 : 4, 1, ending);
    }
    assertEquals(Set.of(Flag.ODD_LENGTH), flags("C4..E4", "[f]").get(3));
  }

  /** What passes for a note is far shorter than any, and says nothing of how long notes are. */
  @Test
  void aNoteBrokenOffIsToldBehindAKnockThatPassedForOne() throws IOException {
    for (int midi = 60; midi < 66; midi++) {
      double seconds = midi == 64 ? 0.3 : midi == 65 ? 1.5 : 3;
      played(midi, seconds, 1, Blemishes.NONE.with(new Blemishes.Ending(0, 0, 40)));
    }
    assertEquals(Set.of(Flag.ODD_LENGTH), flags("C4..F4", "[f]").get(5));
  }

  /** Each note but the last is ended by the next, so that none shows how long it would ring. */
  @Test
  void theLastOfNotesThatRingIntoTheNextIsNotTooLong() throws IOException {
    for (int midi = 60; midi < 65; midi++) {
      double stopDb = midi == 64 ? 30 : 3;
      played(
          midi, midi == 64 ? 2 : 0.4, 1, Blemishes.NONE.with(new Blemishes.Ending(0, 0, stopDb)));
    }
    assertEquals(Set.of(), flags("C4..E4", "[f]").get(4));
  }

  @Test
  void aWordInATakeOfCalmNotesIsTold() throws IOException {
    for (int midi = 60; midi < 68; midi++) {
      Band band = midi == 67 ? new Band(-12, -22) : new Band(-40, -60);
      played(midi, 3, 1, Blemishes.NONE.with(new Aperiodic(Band.NONE, band, Band.NONE)));
    }
    assertEquals(Set.of(Flag.DISTURBED), flags("C4..G4", "[f]").get(7));
    assertEquals(Set.of(), flags("C4..G4", "[f]").get(6));
  }

  /** Three notes of a dynamic show no habit of their own. */
  @Test
  void whereADynamicHasTooFewNotesTheOthersTell() throws IOException {
    for (int i = 0; i < 6; i++) {
      played(60 + i % 3, i == 2 ? 1 : 3);
    }
    List<Set<Flag>> flags = flags("C4..D4", "[p, f], order: [dynamic, note, rr]");
    assertEquals(Set.of(Flag.ODD_LENGTH), flags.get(2));
    assertEquals(Set.of(), flags.get(5));
  }

  /** As an open string among stopped ones; the long note of one dynamic alone is a mistake. */
  @Test
  void aNoteThatIsLongerThanTheOthersAtBothDynamicsIsSo() throws IOException {
    String inTurn = "[p, f], order: [dynamic, note, rr]";
    for (int i = 0; i < 10; i++) {
      played(60 + i % 5, i == 2 ? 3 : i == 7 ? 0.9 : 0.4);
    }
    // 0.9 s by itself is not odd beside 0.4, but shows that 3 s are none either.
    assertEquals(Collections.nCopies(10, Set.of()), flags("C4..E4", inTurn));
    regions.clear();
    for (int i = 0; i < 10; i++) {
      played(60 + i % 5, i == 2 ? 3 : 0.4);
    }
    assertEquals(Set.of(Flag.ODD_LENGTH), flags("C4..E4", inTurn).get(2));
  }

  /** As bars and plucked strings: the low ones ring for seconds. */
  @Test
  void noLengthIsOddWhereLengthsFallTowardsOneEndOfTheRange() throws IOException {
    double[] seconds = {4, 2.4, 1.3, 0.8, 0.4};
    for (int i = 0; i < seconds.length; i++) {
      played(60 + i, seconds[i]);
    }
    for (Set<Flag> flags : flags("C4..E4", "[f]")) {
      assertEquals(Set.of(), flags);
    }
  }

  /** A bar at the end of the range may ring for seconds alone; a word behind it is not the bar. */
  @Test
  void theLowestNoteIsAsLongAsItIsHeard() throws IOException {
    for (double hidden : new double[] {0.5, 2}) {
      regions.clear();
      for (int midi = 60; midi < 65; midi++) {
        double hiddenS = midi == 60 ? hidden : 0.1;
        Blemishes ending =
            Blemishes.NONE.with(new Blemishes.Ending((long) (hiddenS * RATE), 0, 10));
        played(midi, midi == 60 ? 4 : 0.4, 1, ending);
      }
      Set<Flag> odd = hidden < 1 ? Set.of() : Set.of(Flag.ODD_LENGTH);
      assertEquals(odd, flags("C4..E4", "[f]").get(0));
    }
  }

  @Test
  void aNoteThatOnlyItsPlaceNamesIsTold() throws IOException {
    played(60, 3);
    played(73, 3, 0.5, Blemishes.NONE);
    played(62, 3);
    assertEquals(Set.of(Flag.OCTAVE_UNSURE), flags("C4..D4", "[f]").get(1));
    regions.clear();
    played(60, 3);
    played(61.55, 3);
    played(64, 3);
    assertEquals(Set.of(Flag.QUARTER_TONE_OFF), flags("[C4, C#4, E4]", "[f]").get(1));
  }
}
