package takewright.library.match;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.segment.Region;
import takewright.sheet.Cell;

/**
 * Matches the regions of a take with the cells of the sheet, as a whole and in order, so that one
 * missing or repeated note does not shift all that follow.
 *
 * <p>A path through regions and cells is sought that costs least (dynamic programming, as in the
 * alignment of sequences by Needleman and Wunsch, 1970): a region may fill the next cell, or the
 * one before once more (a retake), or none; a cell may stay empty. Pitch decides first. Level then
 * tells dynamics apart: how loud each note and each dynamic was is learnt from a first path by
 * Tukey's median polish (Exploratory Data Analysis, 1977), and the path is sought again.
 */
public final class Matcher {
  // Costs are on the scale of a negative log likelihood: 1 is e times less likely. Chosen by what
  // must
  // win over what; the take says the rest.

  /** A missing cell. */
  private static final double MISSING = 4;

  /** One that another take fills: likely not to have been played again. */
  private static final double FILLED_ELSEWHERE = 0.3;

  /** A region that the sheet does not ask for. */
  private static final double EXTRA = 4;

  /**
   * A second attempt at a cell: likelier than an extra, so that the later one replaces the first.
   */
  private static final double RETAKE = 2.5;

  /** Another note than the cell's: never rather than a missing cell and an extra. */
  private static final double WRONG_NOTE = 20;

  /** The cell's note in another octave, which a weak fundamental can make it seem. */
  private static final double OTHER_OCTAVE = 5;

  /** The same two where the votes hardly agreed, as in a short low note. */
  private static final double UNSURE_OCTAVE = 2;

  private static final double UNSURE_NOTE = 3;

  /** Confidence from which a pitch is believed against the order that the sheet gives. */
  private static final double SURE = 0.6;

  /**
   * A short sound that was rejected, in a cell that would else be missing: a low staccato may be
   * over before its pitch is there. It must be as long and as loud as the others of its kind.
   */
  private static final double DOUBTFUL = 1.5;

  /** Rejected sounds up to this length may be notes after all, in seconds. */
  private static final double DOUBTFUL_S = 0.9;

  /** No pitch although the cell has one. */
  private static final double NO_PITCH = 7;

  /**
   * A note broken off and begun again fills its cell rather together with the second attempt than
   * by itself, even if a cell must then stay empty: more than a retake and a missing cell.
   */
  private static final double FALSE_START = 7;

  /** A region that a person keeps and no cell holds: never where there is any. */
  private static final double UNPLACED = 60;

  /**
   * Cost a region below which a take fits its order: a level one spread off is 0.5, and real takes
   * with some retakes and missing notes came to 0.9.
   */
  static final double FITS = 1.2;

  /** Distance in semitones up to which a region still is the cell's note, if badly out of tune. */
  private static final double NOTE_REACH = 0.6;

  /** Spread of a player's level within one dynamic, in dB. Common practice. */
  private static final double LEVEL_SPREAD_DB = 2;

  /** The most that a level can cost: more than a retake and a missing cell together. */
  private static final double MAX_LEVEL_COST = 10;

  /** The most that a length or level unlike the other hits can cost. */
  private static final double MAX_UNLIKE_COST = 9;

  /** How much the pause before a second attempt counts: only where nothing else tells. */
  private static final double PAUSE = 0.6;

  /** Kept smaller still: among equals it is the last of alike cells that was played again. */
  private static final double TIE = 0.05;

  /** Times the levels are learnt and the path is sought again; more changed nothing on takes. */
  private static final int ROUNDS = 3;

  private enum Step {
    NONE,
    FILL,
    RETAKE,
    EXTRA,
    MISSING
  }

  private final List<Region> regions;
  private final List<Cell> cells;
  private final boolean isOver;
  private final Set<Cell> elsewhere;
  private final double usualPause;
  private final boolean[] falseStart;
  private double[] expectedLevel;
  private double pathCost;
  private int breaksAt;

  private Matcher(List<Region> regions, List<Cell> cells, Set<Cell> elsewhere, boolean isOver) {
    this.regions = regions;
    this.cells = cells;
    this.isOver = isOver;
    this.elsewhere = elsewhere;
    double[] pauses = new double[Math.max(0, regions.size() - 1)];
    for (int i = 0; i < pauses.length; i++) {
      pauses[i] = pause(i + 1);
    }
    usualPause = Math.max(1, median(pauses));
    falseStart = new boolean[regions.size()];
    for (int i = 0; i + 1 < falseStart.length; i++) {
      falseStart[i] = isFalseStart(regions.get(i), regions.get(i + 1)) && pauses[i] <= usualPause;
    }
  }

  /**
   * Matches the regions of one take with its cells.
   *
   * @param regions in the order of the take
   * @param cells in the order in which they were to be played
   * @param sampleRate of the take, in hertz
   */
  public static Matching match(List<Region> regions, List<Cell> cells, int sampleRate) {
    return match(regions, cells, Set.of(), sampleRate, true);
  }

  /**
   * The same for a pick-up.
   *
   * @param elsewhere those of the cells that other takes fill, and which may not have been played
   *     again
   */
  public static Matching match(
      List<Region> regions, List<Cell> cells, Set<Cell> elsewhere, int sampleRate) {
    return match(regions, cells, elsewhere, sampleRate, true);
  }

  /**
   * The same for a take that may not be over: then the cells after the last region are still to
   * come and cost nothing.
   */
  public static Matching match(
      List<Region> regions, List<Cell> cells, int sampleRate, boolean isOver) {
    return match(regions, cells, Set.of(), sampleRate, isOver);
  }

  private static Matching match(
      List<Region> regions, List<Cell> cells, Set<Cell> elsewhere, int sampleRate, boolean isOver) {
    List<Region> playable = new ArrayList<>();
    List<Integer> places = new ArrayList<>();
    // Where nothing was played, a knock is none of the notes.
    boolean isPlayed = regions.stream().anyMatch(region -> !region.rejected());
    for (int i = 0; i < regions.size(); i++) {
      if (!regions.get(i).rejected() || isPlayed && isDoubtful(regions.get(i), sampleRate)) {
        playable.add(regions.get(i));
        places.add(i);
      }
    }
    Matcher matcher = new Matcher(playable, cells, elsewhere, isOver);
    int[] found = matcher.path();
    for (int round = 0; round < ROUNDS; round++) {
      matcher.learnLevels(found);
      found = matcher.path();
    }
    int[] cellOf = new int[regions.size()];
    Arrays.fill(cellOf, Matching.NO_CELL);
    for (int i = 0; i < found.length; i++) {
      cellOf[places.get(i)] = found[i];
    }
    matcher.fillLate(regions, cellOf);
    int breaksAt = matcher.breaksAt < places.size() ? places.get(matcher.breaksAt) : 0;
    return Matching.of(regions, cells, cellOf, matcher.pathCost, breaksAt);
  }

  /** The cheapest path, as the cell of each region or {@link Matching#NO_CELL}. */
  private int[] path() {
    int n = regions.size();
    int m = cells.size();
    // best[i][j]: i regions and j cells dealt with; filled says whether cell j - 1 has a region.
    double[][][] best = new double[2][n + 1][m + 1];
    Step[][][] step = new Step[2][n + 1][m + 1];
    boolean[][][] cameFilled = new boolean[2][n + 1][m + 1];
    for (double[][] plane : best) {
      for (double[] row : plane) {
        Arrays.fill(row, Double.POSITIVE_INFINITY);
      }
    }
    best[0][0][0] = 0;
    step[0][0][0] = Step.NONE;
    for (int i = 0; i <= n; i++) {
      for (int j = 0; j <= m; j++) {
        for (int filled = 0; filled < 2; filled++) {
          double so = best[filled][i][j];
          if (so == Double.POSITIVE_INFINITY) {
            continue;
          }
          boolean was = filled == 1;
          if (i < n && j < m) {
            offer(best, step, cameFilled, 1, i + 1, j + 1, so + cost(i, j), Step.FILL, was);
          }
          if (i < n && was) {
            double again = so + cost(i, j - 1) + retake(i, j - 1);
            offer(best, step, cameFilled, 1, i + 1, j, again, Step.RETAKE, true);
          }
          if (i < n) {
            double extra = so + extra(regions.get(i));
            offer(best, step, cameFilled, filled, i + 1, j, extra, Step.EXTRA, was);
          }
          if (j < m) {
            double missing = so + (isOver || i < n ? missing(j) : 0);
            offer(best, step, cameFilled, 0, i, j + 1, missing, Step.MISSING, was);
          }
        }
      }
    }
    pathCost = Math.min(best[0][n][m], best[1][n][m]);
    breaksAt = breaksAt(best);
    int[] cellOf = new int[n];
    int i = n;
    int j = m;
    int filled = best[1][n][m] <= best[0][n][m] ? 1 : 0;
    while (i > 0 || j > 0) {
      Step s = step[filled][i][j];
      int came = cameFilled[filled][i][j] ? 1 : 0;
      switch (s) {
        case FILL -> cellOf[--i] = --j;
        case RETAKE -> cellOf[--i] = j - 1;
        case EXTRA -> cellOf[--i] = Matching.NO_CELL;
        default -> j--;
      }
      filled = came;
    }
    return cellOf;
  }

  /**
   * Where the regions stop fitting: the region from which on what it costs to come so far rises by
   * more than {@link #FITS} each (the change point of a cumulative sum, Page, 1954).
   */
  private static int breaksAt(double[][][] best) {
    int n = best[0].length - 1;
    double[] soFar = new double[n + 1];
    for (int i = 0; i <= n; i++) {
      soFar[i] = Double.POSITIVE_INFINITY;
      for (double[][] plane : best) {
        for (double cost : plane[i]) {
          soFar[i] = Math.min(soFar[i], cost);
        }
      }
    }
    int at = 0;
    for (int i = 1; i < n; i++) {
      if (soFar[i] - FITS * i < soFar[at] - FITS * at) {
        at = i;
      }
    }
    return at;
  }

  private static void offer(
      double[][][] best,
      Step[][][] step,
      boolean[][][] cameFilled,
      int filled,
      int i,
      int j,
      double cost,
      Step how,
      boolean was) {
    if (cost < best[filled][i][j]) {
      best[filled][i][j] = cost;
      step[filled][i][j] = how;
      cameFilled[filled][i][j] = was;
    }
  }

  private double missing(int cell) {
    return elsewhere.contains(cells.get(cell)) ? FILLED_ELSEWHERE : MISSING;
  }

  private static double extra(Region region) {
    return region.rejected() ? 0 : isForced(region) ? UNPLACED : EXTRA;
  }

  private static boolean isForced(Region region) {
    return region.flags().contains(Flag.FORCED);
  }

  /** Whether the first is the second broken off and begun again. */
  private static boolean isFalseStart(Region first, Region second) {
    if (first.rejected()
        || second.rejected()
        || isForced(first)
        || first.pitch() == null
        || second.pitch() == null) {
      return false;
    }
    double apart = semitones(first) - semitones(second);
    return Math.abs(apart) <= NOTE_REACH && Attempts.isBrokenOff(first, second);
  }

  private static double semitones(Region region) {
    return region.pitch().midi() + region.pitch().cents() / 100;
  }

  /** What it costs that a region fills a cell. */
  private double cost(int region, int cell) {
    double cost = pitchCost(regions.get(region), cells.get(cell));
    if (falseStart[region]) {
      // It says nothing of how loud the note would have become.
      return cost + FALSE_START;
    }
    if (expectedLevel != null && !Double.isNaN(expectedLevel[cell])) {
      double off = (regions.get(region).levelDbfs() - expectedLevel[cell]) / LEVEL_SPREAD_DB;
      cost += Math.min(MAX_LEVEL_COST, off * off / 2);
    }
    boolean byLikeness = cells.get(cell).midi() == null || regions.get(region).rejected();
    if (byLikeness && !isForced(regions.get(region))) {
      cost += unlike(regions.get(region));
    }
    return cost;
  }

  private static double pitchCost(Region region, Cell cell) {
    if (cell.midi() == null) {
      return 0;
    }
    if (region.rejected()) {
      return DOUBTFUL;
    }
    if (region.pitch() == null) {
      return isForced(region) ? UNSURE_NOTE : NO_PITCH;
    }
    // Where a person says that it is a sample, the order says which.
    boolean sure = region.pitch().confidence() >= SURE && !isForced(region);
    double distance = Math.abs(semitones(region) - cell.midi());
    if (distance <= NOTE_REACH) {
      return 0;
    }
    double octave = Math.abs(distance - 12 * Math.round(distance / 12));
    if (octave <= NOTE_REACH) {
      return sure ? OTHER_OCTAVE : UNSURE_OCTAVE;
    }
    return sure ? WRONG_NOTE : UNSURE_NOTE;
  }

  private static boolean isDoubtful(Region region, int sampleRate) {
    return region.kind() == Kind.PITCHED
        && region.end() - region.onset() <= DOUBTFUL_S * sampleRate
        && !region.flags().contains(Flag.TOO_SHORT)
        && !region.flags().contains(Flag.CLIPPED)
        && !region.flags().contains(Flag.DROPOUT)
        && !region.flags().contains(Flag.DROPPED);
  }

  /** How unlike the other sounds of the take a region is. */
  private double unlike(Region region) {
    List<Region> others = regions.stream().filter(r -> !r.rejected()).toList();
    double[] peaks = others.stream().mapToDouble(Region::peakDbfs).toArray();
    double[] lengths = others.stream().mapToDouble(r -> r.end() - r.onset()).toArray();
    if (others.isEmpty()) {
      return 0;
    }
    // 6 dB or half an octave of length are as unlike as a usual spread.
    // Where there are several dynamics the level is compared with the cell's instead.
    double peak = expectedLevel == null ? (region.peakDbfs() - median(peaks)) / 6 : 0;
    double length =
        2 * Math.log((region.end() - region.onset()) / Math.max(1, median(lengths))) / Math.log(2);
    return Math.min(MAX_UNLIKE_COST, (peak * peak + length * length) / 2);
  }

  private double retake(int region, int cell) {
    // Attempts at one cell follow each other without much ado: a pause of more than twice the
    // usual,
    // or talk between two notes, rather says that the first was good.
    double longer = Math.log(Math.max(1, pause(region)) / usualPause) / Math.log(2);
    double cost = RETAKE + PAUSE * Math.max(0, Math.min(1, longer - 1));
    boolean alikeFollows =
        cell + 1 < cells.size()
            && java.util.Objects.equals(cells.get(cell + 1).midi(), cells.get(cell).midi())
            && cells.get(cell + 1).dynamic().equals(cells.get(cell).dynamic());
    if (region > 0 && falseStart[region - 1]) {
      cost -= FALSE_START;
    }
    return alikeFollows ? cost + TIE : cost;
  }

  /** Frames from the end of the playable region before to the onset of this one. */
  private double pause(int region) {
    return region == 0 ? 0 : regions.get(region).onset() - regions.get(region - 1).end();
  }

  /**
   * Learns from a path how loud each cell is to be expected: its note's level and its dynamic's.
   */
  private void learnLevels(int[] cellOf) {
    expectedLevel = null;
    List<Object> notes = cells.stream().map(c -> (Object) c.midi()).distinct().toList();
    List<String> dynamics = cells.stream().map(Cell::dynamic).distinct().toList();
    if (dynamics.size() < 2) {
      return;
    }
    double[] note = new double[notes.size()];
    double[] dynamic = new double[dynamics.size()];
    for (int round = 0; round < 6; round++) {
      for (int d = 0; d < dynamic.length; d++) {
        List<Double> rest = new ArrayList<>();
        for (int i = 0; i < cellOf.length; i++) {
          if (cellOf[i] >= 0
              && !falseStart[i]
              && cells.get(cellOf[i]).dynamic().equals(dynamics.get(d))) {
            int k = notes.indexOf(cells.get(cellOf[i]).midi());
            rest.add(regions.get(i).levelDbfs() - note[k]);
          }
        }
        dynamic[d] = rest.isEmpty() ? Double.NaN : median(rest);
      }
      for (int k = 0; k < note.length; k++) {
        List<Double> rest = new ArrayList<>();
        for (int i = 0; i < cellOf.length; i++) {
          if (cellOf[i] >= 0
              && !falseStart[i]
              && java.util.Objects.equals(cells.get(cellOf[i]).midi(), notes.get(k))) {
            int d = dynamics.indexOf(cells.get(cellOf[i]).dynamic());
            rest.add(regions.get(i).levelDbfs() - dynamic[d]);
          }
        }
        note[k] = rest.isEmpty() ? 0 : median(rest);
      }
    }
    expectedLevel = new double[cells.size()];
    for (int c = 0; c < expectedLevel.length; c++) {
      expectedLevel[c] =
          note[notes.indexOf(cells.get(c).midi())]
              + dynamic[dynamics.indexOf(cells.get(c).dynamic())];
    }
  }

  /**
   * A region that no place in the order fits may still be the note that is missing, played late.
   */
  private void fillLate(List<Region> all, int[] cellOf) {
    boolean[] filled = new boolean[cells.size()];
    for (int cell : cellOf) {
      if (cell >= 0) {
        filled[cell] = true;
      }
    }
    int playable = -1;
    for (int i = 0; i < cellOf.length; i++) {
      if (playable + 1 >= regions.size() || all.get(i) != regions.get(playable + 1)) {
        continue;
      }
      playable++;
      if (cellOf[i] >= 0 || all.get(i).rejected() || all.get(i).pitch() == null) {
        continue;
      }
      int best = -1;
      // What a missing cell and an extra would cost is the most that a late note may.
      double min = MISSING + EXTRA;
      for (int c = 0; c < filled.length; c++) {
        boolean isOpen = !filled[c] && !elsewhere.contains(cells.get(c));
        if (isOpen && cells.get(c).midi() != null && cost(playable, c) < min) {
          min = cost(playable, c);
          best = c;
        }
      }
      if (best >= 0) {
        cellOf[i] = best;
        filled[best] = true;
      }
    }
  }

  private static double median(List<Double> values) {
    return median(values.stream().mapToDouble(Double::doubleValue).toArray());
  }

  private static double median(double[] values) {
    if (values.length == 0) {
      return 0;
    }
    double[] sorted = values.clone();
    Arrays.sort(sorted);
    int n = sorted.length;
    return n % 2 == 1 ? sorted[n / 2] : 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]);
  }
}
