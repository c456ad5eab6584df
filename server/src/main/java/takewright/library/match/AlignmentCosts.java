package takewright.library.match;

import java.util.List;
import java.util.Objects;
import java.util.Set;
import java.util.stream.IntStream;
import takewright.diagnosis.Flag;
import takewright.dsp.Medians;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;

/**
 * What it costs that a region fills a cell, repeats it or fills none, and that a cell stays empty.
 *
 * <p>Costs are on the scale of a negative log likelihood: 1 is e times less likely. They were
 * chosen by what must win over what; the take says the rest.
 */
final class AlignmentCosts {
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

  /** The cell's note an octave higher or lower, which a weak fundamental can make it seem. */
  private static final double OTHER_OCTAVE = 5;

  /** What a cell that stays empty and a sound that fills none cost together. */
  static final double MISSING_AND_EXTRA = MISSING + EXTRA;

  /** A note in any octave, and another note, where the votes hardly agreed: a short low note. */
  private static final double UNSURE_OCTAVE = 2;

  private static final double UNSURE_NOTE = 5;

  /**
   * The same of a note that is not low, and is neither an octave nor a twelfth away: as such none
   * is misheard. With anything else that speaks against it, it is rather a sound too many.
   */
  private static final double UNSURE_STRANGE = 7;

  /** Notes below D3 (147 Hz) are low: windows hold too few of their periods. */
  private static final int NOT_LOW = 50;

  /**
   * A twelfth, in semitones: three periods are taken for one, or the third harmonic for the note.
   */
  private static final double TWELFTH = 19;

  /** Confidence from which a pitch is believed against the order that the sheet gives. */
  private static final double SURE = 0.6;

  /**
   * A short sound that was rejected, in a cell that would else be missing: a low staccato may be
   * over before its pitch is there. It must be as long and as loud as the others of its kind.
   */
  private static final double DOUBTFUL = 1.5;

  /** No pitch although the cell has one. */
  private static final double NO_PITCH = 7;

  /**
   * A note broken off and begun again fills its cell rather together with the second attempt than
   * by itself, even if a cell must then stay empty: more than a retake and a missing cell.
   */
  private static final double FALSE_START = 7;

  /**
   * A note is not broken off if it lasts at least this share of the median of the notes around: of
   * 87 that were broken off 84 came to 0.61 at most, of 36 clean ones before a longer one 33 came
   * to 0.71 and more.
   */
  private static final double AS_LONG = 0.65;

  /** This many notes before it and behind the one that follows it are the notes around it. */
  private static final int AROUND = 4;

  /** With fewer notes around, nothing is known of how long they are. */
  private static final int MIN_AROUND = 4;

  /** Distance in semitones up to which what a rejected sound speaks for is the cell's note. */
  private static final double GUESS_REACH = 0.4;

  /**
   * A sound whose windows agree less speaks for no note at all: a low string that is over after 0.3
   * s, which fills its cell by its place alone.
   */
  static final double MIN_GUESS = 0.3;

  /** A region that a person keeps and no cell holds: never where there is any. */
  private static final double UNPLACED = 60;

  /** Distance in semitones up to which a region still is the cell's note, if badly out of tune. */
  private static final double NOTE_REACH = 0.6;

  /**
   * One that lies between two semitones is the nearest note of the sheet up to this distance, if it
   * is the only one.
   */
  private static final double HALF_WAY_REACH = 0.75;

  /** Such a note, of which one that is in tune is the better attempt. */
  private static final double HALF_WAY = 1;

  /** Spread of a player's level within one dynamic, in dB. Common practice. */
  private static final double LEVEL_SPREAD_DB = 2;

  /** The most that a level can cost: more than a retake and a missing cell together. */
  private static final double MAX_LEVEL_COST = 10;

  /** How much the pause before a second attempt counts: only where nothing else tells. */
  private static final double PAUSE = 0.6;

  /** Kept smaller still: among equals it is the last of alike cells that was played again. */
  private static final double TIE = 0.05;

  private final List<Region> regions;
  private final List<Cell> cells;
  private final Set<Cell> elsewhere;
  private final NamedRegions named;
  private final Interruptions interruptions;
  private final Likeness likeness;
  private final boolean[] falseStart;
  private final boolean[] suspect;
  private final double usualPause;
  private final double[] expectedLevels;

  private AlignmentCosts(
      List<Region> regions,
      List<Cell> cells,
      Set<Cell> elsewhere,
      NamedRegions named,
      Interruptions interruptions,
      boolean[] falseStart,
      boolean[] suspect,
      double usualPause,
      double[] expectedLevels) {
    this.regions = regions;
    this.cells = cells;
    this.elsewhere = elsewhere;
    this.named = named;
    this.interruptions = interruptions;
    likeness = new Likeness(regions, cells);
    this.falseStart = falseStart;
    this.suspect = suspect;
    this.usualPause = usualPause;
    this.expectedLevels = expectedLevels;
  }

  /**
   * Costs while nothing is known yet of how loud each cell is.
   *
   * @param elsewhere cells that other takes fill
   * @param named what a person says of the regions
   * @param suspect which of them are heard to be flawed by themselves
   * @param sampleRate of the take, in hertz
   */
  static AlignmentCosts of(
      List<Region> regions,
      List<Cell> cells,
      Set<Cell> elsewhere,
      NamedRegions named,
      boolean[] suspect,
      int sampleRate) {
    double[] pauses = new double[Math.max(0, regions.size() - 1)];
    for (int i = 0; i < pauses.length; i++) {
      pauses[i] = pause(regions, i + 1);
    }
    double usualPause = pauses.length == 0 ? 1 : Math.max(1, Medians.of(pauses));
    Interruptions interruptions = new Interruptions(regions, sampleRate);
    boolean[] falseStart = new boolean[regions.size()];
    for (int i = 0; i + 1 < falseStart.length; i++) {
      falseStart[i] =
          isFalseStart(regions.get(i), regions.get(i + 1))
              && !isAsLongAsOthers(regions, i)
              && !interruptions.touchesNext(i);
    }
    return new AlignmentCosts(
        regions, cells, elsewhere, named, interruptions, falseStart, suspect, usualPause, null);
  }

  /**
   * The same with the level in dBFS that each cell is expected to have, NaN where that is unknown;
   * null if levels do not tell the cells apart.
   */
  AlignmentCosts withLevels(double[] levels) {
    return new AlignmentCosts(
        regions, cells, elsewhere, named, interruptions, falseStart, suspect, usualPause, levels);
  }

  /** Whether a region is broken off and begun again by the next one. */
  boolean isFalseStart(int region) {
    return falseStart[region] || isBeginning(region);
  }

  /** Whether a region is but the beginning of the note that goes on in the next one. */
  boolean isBeginning(int region) {
    return interruptions.isBeginning(region);
  }

  /** Whether a region is heard as a cell's note, in its octave. */
  boolean isNoteOf(int region, int cell) {
    return named.namesNote(region) || pitchCost(regions.get(region), cells.get(cell)) <= HALF_WAY;
  }

  /** Of a cell that stays empty. */
  double missing(int cell) {
    if (named.isGiven(cell)) {
      return 0;
    }
    return isElsewhere(cell) ? FILLED_ELSEWHERE : MISSING;
  }

  /** Whether another take fills a cell. */
  boolean isElsewhere(int cell) {
    return elsewhere.contains(cells.get(cell));
  }

  /** Of a region that fills no cell. */
  double extra(int region) {
    Region of = regions.get(region);
    if (named.isNamed(region)) {
      // It gets a cell afterwards: the others are not to move for it.
      return named.isPlaced(region) ? 0 : EXTRA;
    }
    if (isForced(of)) {
      return of.rejected() ? 0 : UNPLACED;
    }
    return of.rejected() ? 0 : EXTRA;
  }

  /** The most that a note played late may cost: what a missing cell and a sound too many would. */
  double maxLate(int region) {
    return MISSING + extra(region);
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
    double apart = Attempts.semitones(first) - Attempts.semitones(second);
    return Math.abs(apart) <= NOTE_REACH && Attempts.isBrokenOff(first, second);
  }

  /**
   * Whether a region is about as long as most around it and the next one, which then only seems
   * long for a word or for the room behind it.
   */
  private static boolean isAsLongAsOthers(List<Region> regions, int index) {
    double[] lengths =
        IntStream.concat(
                IntStream.iterate(index - 1, i -> i >= 0, i -> i - 1)
                    .filter(i -> !regions.get(i).rejected())
                    .limit(AROUND),
                IntStream.range(index + 2, regions.size())
                    .filter(i -> !regions.get(i).rejected())
                    .limit(AROUND))
            .mapToDouble(i -> regions.get(i).heardFrames())
            .toArray();
    return lengths.length >= MIN_AROUND
        && regions.get(index).heardFrames() >= AS_LONG * Medians.of(lengths);
  }

  /** What it costs that a region fills a cell. */
  double fill(int region, int cell) {
    if (!named.allows(region, cell)) {
      return Double.POSITIVE_INFINITY;
    }
    double cost = named.namesNote(region) ? 0 : pitchCost(regions.get(region), cells.get(cell));
    if (isFalseStart(region)) {
      // It says nothing of how loud the note would have become.
      return cost + FALSE_START;
    }
    if (expectedLevels != null) {
      cost += levelCost(region, cell);
    }
    return isForced(regions.get(region)) ? cost : cost + unlike(region, cells.get(cell));
  }

  /** Whether a region is surely heard as a cell's note. */
  private boolean isHeardAs(int region, int cell) {
    Region of = regions.get(region);
    return cells.get(cell).midi() != null
        && !of.rejected()
        && of.pitch() != null
        && of.pitch().confidence() >= SURE
        && pitchCost(of, cells.get(cell)) == 0;
  }

  private double levelCost(int region, int cell) {
    if (Double.isNaN(expectedLevels[cell])) {
      return 0;
    }
    double off = (regions.get(region).levelDbfs() - expectedLevels[cell]) / LEVEL_SPREAD_DB;
    return Math.min(MAX_LEVEL_COST, off * off / 2);
  }

  /** The least that a region's level costs at any dynamic of a cell's note. */
  private double leastLevelCost(int region, int cell) {
    double least = Double.POSITIVE_INFINITY;
    for (int c = 0; c < cells.size(); c++) {
      if (Objects.equals(cells.get(c).midi(), cells.get(cell).midi())) {
        least = Math.min(least, levelCost(region, c));
      }
    }
    return least;
  }

  /** What it costs that a region is unlike a note or a hit of the take. */
  private double unlike(int region, Cell cell) {
    if (cell.midi() == null || regions.get(region).rejected()) {
      // Where there are several dynamics the level is compared with the cell's instead.
      return likeness.unlike(region, expectedLevels == null);
    }
    return named.namesNote(region) ? 0 : likeness.cost(region, cell.midi());
  }

  private double pitchCost(Region region, Cell cell) {
    if (cell.midi() == null) {
      return 0;
    }
    if (region.rejected()) {
      boolean isOther =
          region.guess() != null
              && region.guess().confidence() > MIN_GUESS
              && Math.abs(Attempts.semitones(region.guess()) - cell.midi()) > GUESS_REACH;
      return isOther && !isForced(region) ? NO_PITCH : DOUBTFUL;
    }
    if (region.pitch() == null) {
      return isForced(region) ? UNSURE_NOTE : NO_PITCH;
    }
    // Where a person says that it is a sample, the order says which.
    boolean sure = region.pitch().confidence() >= SURE && !isForced(region);
    double distance = Math.abs(Attempts.semitones(region) - cell.midi());
    if (distance <= NOTE_REACH) {
      return 0;
    }
    if (distance <= HALF_WAY_REACH && isNearest(region, distance)) {
      return HALF_WAY;
    }
    if (sure) {
      return Math.abs(distance - 12) <= NOTE_REACH ? OTHER_OCTAVE : WRONG_NOTE;
    }
    double octave = Math.abs(distance - 12 * Math.round(distance / 12));
    if (octave <= NOTE_REACH) {
      return UNSURE_OCTAVE;
    }
    boolean isMisheard = cell.midi() < NOT_LOW || Math.abs(distance - TWELFTH) <= NOTE_REACH;
    return isMisheard ? UNSURE_NOTE : UNSURE_STRANGE;
  }

  /** Whether no note of the sheet is nearer to what is heard. */
  private boolean isNearest(Region region, double distance) {
    double heard = Attempts.semitones(region);
    for (Cell cell : cells) {
      if (cell.midi() != null && Math.abs(heard - cell.midi()) < distance) {
        return false;
      }
    }
    return true;
  }

  /** What it costs, beyond {@link #fill}, that a region fills the last cell once more. */
  double retake(int region, int cell) {
    // Attempts at one cell follow each other at once: a pause of more than twice the usual, or talk
    // between two notes, rather says that the first was good.
    double longer = Math.log(Math.max(1, pause(regions, region)) / usualPause) / Math.log(2);
    double cost = RETAKE + PAUSE * Math.max(0, Math.min(1, longer - 1));
    boolean alikeFollows =
        cell + 1 < cells.size()
            && Objects.equals(cells.get(cell + 1).midi(), cells.get(cell).midi())
            && cells.get(cell + 1).dynamic().equals(cells.get(cell).dynamic());
    if (region > 0 && falseStart[region - 1]) {
      cost -= FALSE_START;
    } else if (suspect[region] || region > 0 && suspect[region - 1]) {
      // A note that is heard to be flawed is often played again.
      cost -= RETAKE;
    }
    if (expectedLevels != null && !isFalseStart(region) && isHeardAs(region, cell)) {
      // It is the note once more: its level only tells at which of its dynamics.
      cost -= leastLevelCost(region, cell);
    }
    return alikeFollows ? cost + TIE : cost;
  }

  /** Frames from the end of the playable region before to the onset of this one. */
  private static double pause(List<Region> regions, int region) {
    return region == 0 ? 0 : regions.get(region).onset() - regions.get(region - 1).end();
  }
}
