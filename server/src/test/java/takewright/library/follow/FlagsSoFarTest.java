package takewright.library.follow;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;
import takewright.diagnosis.Flag;
import takewright.library.match.Matching;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.read.SheetReader;
import takewright.testing.HeldTone;

/** Attempts at two round robins of one note, which stop, and what is said of how long they are. */
class FlagsSoFarTest {
  private static final int RATE = 48_000;

  private final List<Region> regions = new ArrayList<>();
  private final List<CellStatus> statuses = new ArrayList<>();
  private final List<Integer> cellOf = new ArrayList<>();
  private final List<Cell> cells =
      List.of(new Cell(0, "a", 60, "mf", 1), new Cell(0, "a", 60, "mf", 2));

  private void played(double seconds, int cell, CellStatus status) {
    long at = regions.isEmpty() ? 0 : regions.get(regions.size() - 1).end() + RATE;
    long end = at + (long) (seconds * RATE);
    Pitch pitch = Pitch.of(HeldTone.hz(60), 440, 1);
    Blemishes stops = Blemishes.NONE.with(new Blemishes.Ending(RATE / 10, 0, 40));
    regions.add(
        new Region(at, at, end, Kind.PITCHED, pitch, 1, false, Set.of(), -10, -18, stops, null));
    cellOf.add(cell);
    statuses.add(status);
  }

  private boolean isOddLength(int attempt) throws IOException {
    return flags().of(attempt).contains(Flag.ODD_LENGTH);
  }

  private FlagsSoFar flags() throws IOException {
    Take take =
        SheetReader.read(
                Path.of("/nowhere/session.yaml"),
                "library: Invented\ntakes: [{file: t.wav, articulation: a, notes: [C4]}]\n")
            .takes()
            .get(0);
    List<Integer> missing =
        IntStream.range(0, cells.size()).filter(c -> !cellOf.contains(c)).boxed().toList();
    int[] of = cellOf.stream().mapToInt(Integer::intValue).toArray();
    Matching matching = new Matching(of, statuses, missing, 0, 0);
    return new FlagsSoFar(take, regions, cells, matching, i -> false, RATE);
  }

  /** The first was broken off and played again; the third was broken off as well, and is used. */
  @Test
  void whatWasPlayedAgainShowsNothingOfHowLongNotesAre() throws IOException {
    played(1.8, 0, CellStatus.RETAKE);
    played(5, 0, CellStatus.KEPT);
    played(1.3, 1, CellStatus.KEPT);
    assertEquals(true, isOddLength(2));
    assertEquals(false, isOddLength(1));
    statuses.set(0, CellStatus.KEPT);
    statuses.set(1, CellStatus.RETAKE);
    assertEquals(false, isOddLength(2), "the one that is used is as short");
  }

  /** An attempt that another one fills the cell of later is held against those that are used. */
  @Test
  void whatWasPlayedAgainIsToldAsWell() throws IOException {
    played(5, 0, CellStatus.KEPT);
    played(1.1, 1, CellStatus.RETAKE);
    played(5, 1, CellStatus.KEPT);
    assertEquals(true, isOddLength(1));
    assertEquals(false, isOddLength(2));
    assertEquals(CellStatus.KEPT, flags().status(1), "until then it was none too many");
  }

  /** A knock that rings is heard as a note; one that is played but not asked for is as loud. */
  @Test
  void whatIsSofterThanAllNotesAndNotAskedForIsNone() throws IOException {
    played(1, 0, CellStatus.KEPT);
    regions.add(sound(-17.9));
    regions.add(sound(-18.1));
    for (int i = 1; i < 3; i++) {
      cellOf.add(Matching.NO_CELL);
      statuses.add(CellStatus.EXTRA);
    }
    FlagsSoFar flags = flags();
    assertEquals(List.of(false, false, true), softer(flags));
    assertEquals(CellStatus.REJECTED, Follow.said(CellStatus.EXTRA, true));
    assertEquals(CellStatus.EXTRA, Follow.said(CellStatus.EXTRA, false));
    assertEquals(CellStatus.KEPT, Follow.said(CellStatus.KEPT, true));
    statuses.set(0, CellStatus.REJECTED);
    assertEquals(List.of(false, false, false), softer(flags()), "no note shows how loud they are");
  }

  private static List<Boolean> softer(FlagsSoFar flags) {
    return IntStream.range(0, 3).mapToObj(flags::isSofterThanUsed).toList();
  }

  private static Region sound(double levelDbfs) {
    Pitch pitch = Pitch.of(HeldTone.hz(61), 440, 1);
    return new Region(0, 0, RATE, Kind.PITCHED, pitch, 1, false, Set.of(), -10, levelDbfs);
  }
}
