package takewright.library.take;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.library.match.Matching;
import takewright.library.match.TakeAlignment;
import takewright.segment.Blemishes;
import takewright.segment.Blemishes.Aperiodic;
import takewright.segment.Blemishes.Aperiodic.Band;
import takewright.segment.Region;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;

/** Notes that are played several times over, by how much is heard beside each. */
class NoisierThanBeforeTest {
  /** As where a bow changes, in dB relative to the note; the next limit of a take lies above. */
  private static final double RESTLESS = -18.5;

  private static final double WORD = -8;

  private final List<Region> regions = new ArrayList<>();
  private final List<Cell> cells = new ArrayList<>();
  private final Take take = AnyTake.read();

  private NoisierThanBeforeTest played(int midi, double aperiodicDb, Flag... flags) {
    Aperiodic all = new Aperiodic(new Band(aperiodicDb, -30), Band.NONE, Band.NONE);
    return played(midi, AnyTake.note(regions.size(), midi, Blemishes.NONE.with(all), flags));
  }

  private NoisierThanBeforeTest playedBeside(double mostDb) {
    Blemishes blemishes = Blemishes.NONE.with(new Blemishes.Beside(0, mostDb, 0));
    return played(60, AnyTake.note(regions.size(), 60, blemishes));
  }

  private NoisierThanBeforeTest playedSure(double share) {
    Region all = AnyTake.note(regions.size(), 60, Blemishes.NONE);
    return played(
        60,
        new Region(
            all.start(),
            all.onset(),
            all.end(),
            all.kind(),
            all.pitch(),
            share,
            false,
            all.flags(),
            all.peakDbfs(),
            all.levelDbfs()));
  }

  private NoisierThanBeforeTest played(int midi, Region note) {
    regions.add(note);
    int rr = (int) cells.stream().filter(cell -> cell.midi() == midi).count() + 1;
    cells.add(new Cell(0, "sustain", midi, "mf", rr));
    return this;
  }

  /** Indices of the notes that are said to be disturbed. */
  private List<Integer> disturbed() {
    Matching matching = TakeAlignment.match(regions, cells, AnyTake.RATE);
    List<Set<Flag>> flags = RegionFlags.of(take, regions, cells, matching, AnyTake.RATE);
    List<Integer> found = new ArrayList<>();
    for (int i = 0; i < flags.size(); i++) {
      if (flags.get(i).contains(Flag.DISTURBED)) {
        found.add(i);
      }
    }
    return found;
  }

  /** A note begun on the wrong one, or a word before it: the first note of a take tells it too. */
  @Test
  void aNoteThatReachesItsPitchLateIsToldByItself() {
    for (double lateS : new double[] {0.44, 0.46}) {
      Blemishes blemishes = Blemishes.NONE.with(new Blemishes.NoteStart(0, lateS));
      regions.add(AnyTake.note(regions.size(), 60 + regions.size(), blemishes));
      cells.add(new Cell(0, "sustain", 60 + cells.size(), "mf", 1));
    }
    assertEquals(List.of(1), disturbed());
  }

  /** It may have no pitch for as long. */
  @Test
  void aShortNoteThatReachesItsPitchLateIsNotDoubted() {
    Blemishes.Ending soonOver = new Blemishes.Ending((long) (1.1 * AnyTake.RATE), 0, 0);
    Blemishes late = Blemishes.NONE.with(new Blemishes.NoteStart(0, 0.4)).with(soonOver);
    played(60, AnyTake.note(0, 60, late));
    assertEquals(List.of(), disturbed());
  }

  @Test
  void aWordOverANoteIsToldByTheSameNoteBefore() {
    played(60, RESTLESS).played(60, WORD).played(61, WORD);
    assertEquals(List.of(1), disturbed());
  }

  @Test
  void whatANoteHasEachTimeIsItsOwn() {
    played(60, RESTLESS).played(60, RESTLESS + 5).played(61, WORD).played(61, WORD);
    assertEquals(List.of(), disturbed());
  }

  /** One of those before may be the quieter one by chance. */
  @Test
  void aNoteMustBeNoisierThanAllBefore() {
    played(60, RESTLESS).played(60, RESTLESS + 5).played(60, RESTLESS + 10.3);
    assertEquals(List.of(), disturbed());
  }

  /** Once may be by chance; twice shows what is heard beside the note. */
  @Test
  void whatIsHeardBesideANoteIsToldByTheSameNoteTwiceBefore() {
    playedBeside(3).playedBeside(5).playedBeside(14.2);
    assertEquals(List.of(2), disturbed());
    playedBeside(14.1);
    assertEquals(List.of(2), disturbed(), "it is the note's own by now");
  }

  @Test
  void onceBeforeShowsNotWhatIsHeardBesideANote() {
    playedBeside(3).playedBeside(14.2);
    assertEquals(List.of(), disturbed());
  }

  @Test
  void whatIsHardlyHeardBesideANoteIsNoFlaw() {
    playedBeside(0).playedBeside(0).playedBeside(13);
    assertEquals(List.of(), disturbed());
  }

  /** Half of a short note that was begun on another. */
  @Test
  void aNoteInWhichFewerWindowsAgreeThanEachTimeBeforeIsTold() {
    playedSure(0.95).playedSure(0.64);
    assertEquals(List.of(1), disturbed());
    playedSure(0.6);
    assertEquals(List.of(1), disturbed(), "it was like that before");
  }

  @Test
  void aNoteOfWhichAFewWindowsFewerAgreeIsAsBefore() {
    playedSure(0.95).playedSure(0.66);
    assertEquals(List.of(), disturbed());
  }

  /** It is heard beside the note that begins in it. */
  @Test
  void whatRingsIntoANoteIsNoFlawOfIt() {
    played(60, RESTLESS).played(60, WORD, Flag.IN_TAIL);
    assertEquals(List.of(), disturbed());
  }
}
