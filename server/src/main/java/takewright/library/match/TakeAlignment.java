package takewright.library.match;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.dsp.Medians;
import takewright.pitch.Kind;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellName;

/**
 * Aligns the regions of a take with the cells of the sheet, as a whole and in order, so that one
 * missing or repeated note does not shift all that follow.
 *
 * <p>The {@link CheapestPath} through regions and cells is sought. Pitch decides first. Level then
 * tells dynamics apart: how loud each note and each dynamic was is learnt from a first path ({@link
 * ExpectedLevels}), and the path is sought again.
 */
public final class TakeAlignment {
  /** Rejected sounds up to this length may be notes after all, in seconds. */
  private static final double DOUBTFUL_S = 0.9;

  /** Longer ones may be, too, if they speak for a note: up to this many times the usual length. */
  private static final double MOST_TIMES = 2;

  /**
   * Sounds so far below a take's usual note are none of its notes, in dB, whatever pitch they have:
   * of 3,700 notes in 140 takes none lay 17 dB below it, of 185 knocks and syllables that passed
   * for notes 71 lay 22 and more; clicks that were a missing note's by their pitch filled its cell
   * (2026-11-30). What was rejected is left to the order: it parts one note from the next.
   */
  private static final double FAR_SOFTER_DB = 22;

  /** And so much for each further dynamic, in dB. */
  private static final double PER_DYNAMIC_DB = 10;

  /** Times the levels are learnt and the path is sought again; more changed nothing on takes. */
  private static final int ROUNDS = 3;

  private TakeAlignment() {}

  /**
   * Matches the regions of one take with its cells.
   *
   * @param regions in the order of the take
   * @param cells in the order in which they were to be played
   * @param sampleRate of the take, in hertz
   */
  public static Matching match(List<Region> regions, List<Cell> cells, int sampleRate) {
    return match(regions, unnamed(regions), cells, Set.of(), Set.of(), sampleRate, true);
  }

  /**
   * The same for a pick-up, or where a person says what some of the regions are.
   *
   * @param names what each region is said to be; each fits a cell at least
   * @param elsewhere those of the cells that other takes fill, and which may not have been played
   *     again
   */
  public static Matching match(
      List<Region> regions,
      List<CellName> names,
      List<Cell> cells,
      Set<Cell> elsewhere,
      int sampleRate) {
    return match(regions, names, cells, elsewhere, Set.of(), sampleRate, true);
  }

  /**
   * The same once more, after some of the regions have been dropped: others may fill the cells of
   * those, and no further ones.
   *
   * @param before how the regions matched with them
   */
  public static Matching matchAgain(
      List<Region> regions,
      List<CellName> names,
      List<Cell> cells,
      Set<Cell> elsewhere,
      Matching before,
      int sampleRate) {
    Set<Cell> closed = new HashSet<>();
    before.missing().forEach(cell -> closed.add(cells.get(cell)));
    return match(regions, names, cells, elsewhere, closed, sampleRate, true);
  }

  /**
   * The same for a take that may not be over: then the cells after the last region are still to
   * come and cost nothing.
   */
  public static Matching match(
      List<Region> regions, List<Cell> cells, int sampleRate, boolean isOver) {
    return match(regions, unnamed(regions), cells, Set.of(), Set.of(), sampleRate, isOver);
  }

  private static List<CellName> unnamed(List<Region> regions) {
    return Collections.nCopies(regions.size(), CellName.ANY);
  }

  private static Matching match(
      List<Region> regions,
      List<CellName> names,
      List<Cell> cells,
      Set<Cell> elsewhere,
      Set<Cell> closed,
      int sampleRate,
      boolean isOver) {
    List<Region> playable = new ArrayList<>();
    List<Integer> places = new ArrayList<>();
    // Where nothing was played, a knock is none of the notes.
    double usualLength = usualLength(regions);
    boolean isPlayed = regions.stream().anyMatch(region -> !region.rejected());
    double softestDbfs = softestDbfs(regions, cells);
    for (int i = 0; i < regions.size(); i++) {
      boolean isDoubtful =
          isDoubtful(regions.get(i), DOUBTFUL_S * sampleRate)
              || speaksForNote(regions.get(i))
                  && isDoubtful(regions.get(i), MOST_TIMES * usualLength);
      boolean isLoudEnough =
          isOver && regions.get(i).rejected()
              || isSaidToBeNote(regions.get(i), names.get(i))
              || regions.get(i).levelDbfs() >= softestDbfs;
      if (isLoudEnough && (!regions.get(i).rejected() || isPlayed && isDoubtful)) {
        playable.add(regions.get(i));
        places.add(i);
      }
    }
    NamedRegions named = new NamedRegions(places.stream().map(names::get).toList(), cells, closed);
    boolean[] heardFlawed = FlawedAlone.of(regions, sampleRate);
    boolean[] suspect = new boolean[playable.size()];
    for (int i = 0; i < suspect.length; i++) {
      suspect[i] = heardFlawed[places.get(i)];
    }
    AlignmentCosts costs =
        AlignmentCosts.of(playable, cells, elsewhere, named, suspect, sampleRate);
    CheapestPath path = CheapestPath.find(costs, playable.size(), cells.size(), isOver);
    for (int round = 0; round < ROUNDS; round++) {
      costs = costs.withLevels(ExpectedLevels.of(playable, cells, path.cellOf(), costs));
      path = CheapestPath.find(costs, playable.size(), cells.size(), isOver);
    }
    int[] found = path.cellOf().clone();
    fillLate(playable, cells, costs, named, found);
    named.place(found);
    int[] cellOf = new int[regions.size()];
    boolean[] fixed = new boolean[regions.size()];
    Arrays.fill(cellOf, Matching.NO_CELL);
    for (int i = 0; i < found.length; i++) {
      cellOf[places.get(i)] = found[i];
      fixed[places.get(i)] = named.isNamed(i);
    }
    int breaksAt = path.breaksAt() < places.size() ? places.get(path.breaksAt()) : 0;
    return Matching.of(regions, cells, cellOf, fixed, path.cost(), breaksAt, sampleRate);
  }

  /** Whether a person says that it is a note. */
  private static boolean isSaidToBeNote(Region region, CellName name) {
    return !name.isAny() || region.flags().contains(Flag.FORCED);
  }

  /** The level below which no sound that has a pitch is a note, in dBFS. */
  private static double softestDbfs(List<Region> regions, List<Cell> cells) {
    double[] levels =
        regions.stream()
            .filter(region -> !region.rejected() && region.kind() == Kind.PITCHED)
            .mapToDouble(Region::levelDbfs)
            .toArray();
    long dynamics = cells.stream().map(Cell::dynamic).distinct().count();
    return levels.length == 0
        ? Double.NEGATIVE_INFINITY
        : Medians.of(levels) - FAR_SOFTER_DB - PER_DYNAMIC_DB * (dynamics - 1);
  }

  /** Median length of the notes, in frames; 0 without notes. */
  private static double usualLength(List<Region> regions) {
    double[] lengths =
        regions.stream()
            .filter(region -> !region.rejected())
            .mapToDouble(region -> region.end() - region.onset())
            .toArray();
    return lengths.length == 0 ? 0 : Medians.of(lengths);
  }

  /** Whether a rejected sound speaks for a note: one that was blurred. */
  private static boolean speaksForNote(Region region) {
    return region.guess() != null && region.guess().confidence() > AlignmentCosts.MIN_GUESS;
  }

  private static boolean isDoubtful(Region region, double maxLength) {
    return region.kind() == Kind.PITCHED
        && region.end() - region.onset() <= maxLength
        && !region.flags().contains(Flag.TOO_SHORT)
        && !region.flags().contains(Flag.CLIPPED)
        && !region.flags().contains(Flag.DROPOUT)
        && !region.flags().contains(Flag.DROPPED);
  }

  /**
   * A region that no place in the order fits may still be the note that is missing, played late.
   * Only the order could say that the ear slipped by an octave: here the note itself must be heard.
   */
  private static void fillLate(
      List<Region> playable,
      List<Cell> cells,
      AlignmentCosts costs,
      NamedRegions named,
      int[] cellOf) {
    boolean[] filled = new boolean[cells.size()];
    for (int cell : cellOf) {
      if (cell >= 0) {
        filled[cell] = true;
      }
    }
    for (int i = 0; i < cellOf.length; i++) {
      if (cellOf[i] >= 0
          || playable.get(i).rejected()
          || playable.get(i).pitch() == null
          || costs.isBeginning(i)) {
        continue;
      }
      int best = -1;
      double min = costs.maxLate(i);
      for (int c = 0; c < filled.length; c++) {
        boolean isOpen =
            !filled[c] && !named.isGiven(c) && !costs.isElsewhere(c) && cells.get(c).midi() != null;
        if (isOpen && costs.isNoteOf(i, c) && costs.fill(i, c) < min) {
          min = costs.fill(i, c);
          best = c;
        }
      }
      if (best >= 0) {
        cellOf[i] = best;
        filled[best] = true;
      }
    }
  }
}
