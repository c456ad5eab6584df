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
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/**
 * A sound that is less sure than the take's notes are, as a vowel of a word, fills the cell that is
 * missing only where it is like a note of the take.
 */
class LikenessTest {
  private static final int RATE = 48_000;
  private static final List<Integer> NOTES = List.of(60, 61, 62, 63, 64, 65, 66);

  /** What is missing: the fourth of the notes. */
  private static final int GONE = 63;

  private final List<Region> regions = new ArrayList<>();
  private long at = RATE;

  private static Pitch pitch(double semitones, double confidence) {
    return Pitch.of(440 * Math.pow(2, (semitones - 69) / 12), 440, confidence);
  }

  private void sound(double semitones, double confidence, double seconds, double peakDbfs) {
    add(pitch(semitones, confidence), null, seconds, peakDbfs);
  }

  private void add(Pitch pitch, Pitch guess, double seconds, double peakDbfs) {
    long end = at + (long) (seconds * RATE);
    boolean isRejected = pitch == null;
    regions.add(
        new Region(
            at,
            at + 480,
            end,
            Kind.PITCHED,
            pitch,
            isRejected ? 0.6 : pitch.confidence(),
            isRejected,
            isRejected ? Set.of(Flag.TALK) : Set.of(),
            peakDbfs,
            peakDbfs - 10,
            Blemishes.NONE,
            guess));
    at = end + RATE;
  }

  /** Plays all notes but one, and something else in its place; says what became of that. */
  private CellStatus inThePlaceOfTheMissingNote(Runnable other, boolean isOver) {
    regions.clear();
    int place = 0;
    for (int midi : NOTES) {
      if (midi == GONE) {
        place = regions.size();
        other.run();
      } else {
        sound(midi + 0.05 - 0.03 * (midi % 3), 0.9 + 0.02 * (midi % 4), 0.7, -12);
      }
    }
    List<Cell> cells = NOTES.stream().map(n -> new Cell(0, "sustain", n, "mf", 1)).toList();
    return TakeAlignment.match(regions, cells, RATE, isOver).statuses().get(place);
  }

  private CellStatus heard(Runnable other) {
    CellStatus status = inThePlaceOfTheMissingNote(other, true);
    assertEquals(status, inThePlaceOfTheMissingNote(other, false), "while it is followed");
    return status;
  }

  @Test
  void aSureNoteFillsItsCellHoweverMuchOutOfTune() {
    assertEquals(CellStatus.KEPT, heard(() -> sound(GONE + 0.4, 0.9, 0.7, -12)));
  }

  @Test
  void anUnsureOneThatIsInTuneAndLikeTheOthersDoes() {
    assertEquals(CellStatus.KEPT, heard(() -> sound(GONE + 0.05, 0.5, 0.7, -13)));
  }

  @Test
  void anUnsureOneThatLiesBetweenTheNotesDoesNot() {
    assertEquals(CellStatus.EXTRA, heard(() -> sound(GONE - 0.55, 0.5, 0.7, -12)));
  }

  @Test
  void anUnsureOneThatIsFarSofterAndShorterDoesNot() {
    assertEquals(CellStatus.EXTRA, heard(() -> sound(GONE + 0.05, 0.5, 0.25, -30)));
  }

  /** The lowest bar of an instrument may ring twelve times as long as the others of a take. */
  @Test
  void anUnsureOneIsComparedWithItselfPlayedAgain() {
    List<Cell> cells = new ArrayList<>();
    for (int midi : NOTES) {
      for (int rr = 1; rr <= 3; rr++) {
        boolean isLowest = midi == NOTES.get(0);
        sound(midi + 0.1, isLowest ? 0.5 : 0.95, isLowest ? 6 : 0.5, -12);
        cells.add(new Cell(0, "sustain", midi, "mf", rr));
      }
    }
    for (CellStatus status : TakeAlignment.match(regions, cells, RATE).statuses()) {
      assertEquals(CellStatus.KEPT, status);
    }
  }

  /** A click from the headphones is surer than the notes, and heard more often. */
  @Test
  void softSoundsSayNothingOfWhatTheNotesAreLikeHoweverMany() {
    List<CellStatus> expected = new ArrayList<>();
    for (int midi : NOTES) {
      sound(midi, 0.6, 0.7, -12);
      expected.add(CellStatus.KEPT);
      for (int click = 0; click < 2; click++) {
        sound(83.25, 1, 0.3, -48);
        expected.add(CellStatus.EXTRA);
      }
    }
    List<Cell> cells = NOTES.stream().map(n -> new Cell(0, "sustain", n, "mf", 1)).toList();
    assertEquals(expected, TakeAlignment.match(regions, cells, RATE).statuses());
  }

  /** A bird or a key is surer than low notes that are over at once, and may be heard more often. */
  @Test
  void whatTheSheetDoesNotAskForSaysNothingOfWhatTheNotesAreLike() {
    List<CellStatus> expected = new ArrayList<>();
    for (int midi : NOTES) {
      sound(midi, 0.6, 0.7, -12);
      expected.add(CellStatus.KEPT);
      for (int key = 0; key < 2; key++) {
        sound(83.25, 1, 0.3, -32);
        expected.add(CellStatus.EXTRA);
      }
    }
    List<Cell> cells = NOTES.stream().map(n -> new Cell(0, "sustain", n, "mf", 1)).toList();
    assertEquals(expected, TakeAlignment.match(regions, cells, RATE).statuses());
  }

  /** A short low note may be over before its pitch is there; what it speaks for must agree. */
  @Test
  void aRejectedSoundMustSpeakForTheNoteOfItsCell() {
    Runnable agrees = () -> add(null, pitch(GONE + 0.1, 0.35), 0.6, -12);
    Runnable another = () -> add(null, pitch(GONE - 5.4, 0.35), 0.6, -12);
    Runnable none = () -> add(null, pitch(GONE - 5.4, 0.2), 0.6, -12);
    assertEquals(CellStatus.KEPT, heard(agrees));
    assertEquals(CellStatus.REJECTED, heard(another));
    assertEquals(CellStatus.KEPT, heard(none), "so few windows speak for nothing");
  }
}
