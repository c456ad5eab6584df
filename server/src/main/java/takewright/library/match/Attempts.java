package takewright.library.match;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import takewright.diagnosis.Flag;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.sheet.cell.Cell;

/**
 * Chooses among several attempts at a note by what is heard, not by their order alone: a flawed
 * attempt never takes the place of a clean one, whichever came last. Of clean ones the later stays.
 *
 * <p>What counts as flawed is seen by comparison: attempts at one note and dynamic differ in little
 * but their flaws, while bow changes and breaths, which look like them, are in all of them.
 */
final class Attempts {
  /** A note broken off is shorter than this share of another attempt, both as far as heard. */
  private static final double BROKEN_OFF = 0.55;

  /**
   * Shorter than this share it surely is: 77 of 101 that were broken off, of 2,000 clean ones none.
   */
  private static final double SURELY_BROKEN_OFF = 0.4;

  /**
   * In a room that rings a short note seems longer than it was. One of this share of the other's
   * length is broken off if it has not come to its level, or stops where the other dies away: no
   * clean attempt of 111 pairs does, of 62 that were broken off six (2026-11-29).
   */
  private static final double BROKEN_OFF_STOPPED = 0.75;

  /** If it is softer by this, in dB: twice a player's spread within one dynamic. */
  private static final double SOFTER_DB = 4;

  /** Or if it falls by so much more where it falls fastest near its end, in dB: it is stopped. */
  private static final double STOPS_DB = 10;

  /**
   * An attempt is disturbed where so much more is heard beside it than beside another, in dB times
   * seconds.
   */
  private static final double MORE_DB_S = 0.1;

  /**
   * An attempt whose pitch is less sure than another's by so much gives way to it: part of it is
   * something else, if too little to be named. Clean attempts differ by 0.05 in four of five cases.
   */
  private static final double LESS_SURE = 0.1;

  /**
   * An attempt that reaches its own pitch so much later than another, in seconds, may have been
   * begun on the wrong note, though it is too short to hold that: two of the windows that are 43 ms
   * apart.
   */
  private static final double LATER_S = 0.06;

  /** One as long as this share of the notes around is merely shorter: another is too long. */
  private static final double AS_LONG = 0.75;

  /**
   * An attempt that has so much more of what comes and goes, or is heard between its partials, than
   * another is noisier, in dB. A limit that follows how much the take's round robins differ, from 5
   * dB in calm takes up, decided alike (296 takes, 2026-11-30).
   */
  static final double NOISIER_DB = 10;

  /** One that is noisier by this share of it has clearly more. */
  private static final double OUTDONE = 0.5;

  /** What was rejected is worse than anything else. */
  private static final double REJECTED = 100;

  // How much each fact speaks for a flaw: the logarithm of the odds that a flawed attempt has it
  // and not a clean one, as far as the others do not say the same. A logistic regression over 864
  // pairs of a flawed and a clean attempt in 108 takes gave 4.0, 2.9, .9, 3.3, 1.7, 2.0, 2.3, .3,
  // 1.9, 1.5 and 1.3 (2026-11-30). What surely is broken off counts more, as no clean attempt
  // of 834 was; so does a wrong beginning, which none had; what is heard beside another counts
  // less, since it often comes with noise.
  private static final double SURELY_BROKEN = 6;
  private static final double BROKEN = 3;
  private static final double SHORTER = 1;
  private static final double INTERRUPTED = 3.5;
  private static final double RUNG_OUT = 2;
  private static final double WRONG = 3;

  /**
   * So much means that two facts each of which alone tells a flaw come together: broken off for
   * sure, and something else sets in over it.
   */
  private static final double HOPELESS = 8;

  private static final double KNOCKED = 2;
  private static final double NOISIER = 2;
  private static final double RATHER_NOISY = 0.5;
  private static final double DISTURBED = 1.5;
  private static final double UNSURE = 1;
  private static final double OUT_OF_TUNE = 2;
  private static final double LATER = 1;

  private final List<Region> regions;
  private final List<Cell> cells;
  private final int[] cellOf;

  /** The attempt that is kept for each cell, or -1. */
  private final int[] kept;

  /** How much speaks for a flaw in each. */
  private final double[] flaws;

  /** Which of them are begun on the wrong note. */
  private final boolean[] isWrong;

  private final Interruptions interruptions;
  private final boolean[] fixed;

  private final UsualTuning tuning;

  /**
   * @param cellOf cell of each region, or {@link Matching#NO_CELL}; changed where another attempt
   *     is the better one
   * @param kept region that is kept for each cell, or -1; changed likewise
   * @param fixed whether a person says which cell a region fills: it and its cell stay
   * @param sampleRate of the take, in hertz
   */
  private Attempts(
      List<Region> regions,
      List<Cell> cells,
      int[] cellOf,
      int[] kept,
      boolean[] fixed,
      int sampleRate) {
    this.regions = regions;
    this.cells = cells;
    this.cellOf = cellOf;
    this.kept = kept;
    this.fixed = fixed;
    flaws = new double[regions.size()];
    isWrong = new boolean[regions.size()];
    interruptions = new Interruptions(regions, sampleRate);
    tuning = UsualTuning.of(regions, cells, kept);
  }

  /** Puts the best attempts of each note and dynamic into its cells. */
  static void choose(
      List<Region> regions,
      List<Cell> cells,
      int[] cellOf,
      int[] kept,
      boolean[] fixed,
      int sampleRate) {
    Attempts attempts = new Attempts(regions, cells, cellOf, kept, fixed, sampleRate);
    int from = 0;
    for (int to = 1; to <= cells.size(); to++) {
      if (to == cells.size() || !isAlike(cells.get(from), cells.get(to))) {
        attempts.choose(from, to);
        from = to;
      }
    }
  }

  /** Whether two cells are round robins of one note; taps are no notes. */
  private static boolean isAlike(Cell a, Cell b) {
    return a.midi() != null && a.isSameNoteAs(b);
  }

  /** Chooses among the attempts at the cells from one to (not including) another, all alike. */
  private void choose(int from, int to) {
    List<Integer> all = new ArrayList<>();
    List<Integer> filled = new ArrayList<>();
    for (int i = 0; i < cellOf.length; i++) {
      if (cellOf[i] >= from && cellOf[i] < to && !fixed[i]) {
        all.add(i);
      }
    }
    for (int c = from; c < to; c++) {
      if (kept[c] >= 0 && !fixed[kept[c]]) {
        filled.add(c);
      }
    }
    if (all.size() < 2) {
      return;
    }
    judge(all);
    if (all.size() > filled.size()) {
      fill(filled, all);
    }
    giveUp(filled);
  }

  /** Puts the best of several attempts into cells, in the order in which they were played. */
  private void fill(List<Integer> filled, List<Integer> all) {
    List<Integer> best = new ArrayList<>(all);
    best.sort(
        Comparator.comparing((Integer i) -> !regions.get(i).flags().contains(Flag.FORCED))
            .thenComparing(i -> flaws[i])
            .thenComparing(i -> kept[cellOf[i]] != i)
            .thenComparing(Comparator.reverseOrder()));
    List<Integer> chosen = best.subList(0, filled.size()).stream().sorted().toList();
    for (int n = 0; n < chosen.size(); n++) {
      kept[filled.get(n)] = chosen.get(n);
      cellOf[chosen.get(n)] = filled.get(n);
    }
  }

  /**
   * Empties the cells of attempts that were begun on the wrong note, or are no note at all, where
   * another attempt at the note was right: it was played again then, and is no further round robin.
   * Of 3,400 clean notes of 182 takes none is heard to begin wrong, and none has {@link #HOPELESS},
   * which a word and a string that was cut short by the next one had. Those that are merely broken
   * off were left where they are: with them three clean notes are lost and two flawed attempts
   * fewer are kept (2026-11-30).
   */
  private void giveUp(List<Integer> filled) {
    int right =
        filled.stream()
            .filter(c -> flaws[kept[c]] < WRONG)
            .min(Comparator.comparing(c -> flaws[kept[c]]))
            .orElse(Matching.NO_CELL);
    for (int c : filled) {
      int attempt = kept[c];
      Region region = regions.get(attempt);
      boolean isNone = isWrong[attempt] || flaws[attempt] >= HOPELESS && !region.rejected();
      if (right >= 0 && isNone && !region.flags().contains(Flag.FORCED)) {
        cellOf[attempt] = right;
        kept[c] = -1;
      }
    }
  }

  private void judge(List<Integer> attempts) {
    // A word that goes on behind a note makes it longer and says nothing of how long notes are, but
    // that the note is as long as those around it.
    double usual = UsualLength.around(attempts, regions, cellOf, kept);
    double surest = 0;
    double maxLength = 0;
    double maxDbfs = Double.NEGATIVE_INFINITY;
    double stopDb = 0;
    double min = Double.POSITIVE_INFINITY;
    for (int i : attempts) {
      Region region = regions.get(i);
      if (region.rejected()) {
        continue;
      }
      double most = Double.isInfinite(usual) ? 0 : usual;
      double length =
          isInterrupted(i) ? Math.min(most, region.heardFrames()) : region.heardFrames();
      if (length > maxLength) {
        maxLength = length;
        stopDb = region.blemishes().ending().stopDb();
      }
      maxDbfs = Math.max(maxDbfs, region.levelDbfs());
      surest = Math.max(surest, sureness(region));
    }
    for (int i : attempts) {
      Region region = regions.get(i);
      if (!region.rejected() && region.heardFrames() >= BROKEN_OFF * maxLength) {
        min = Math.min(min, beside(i).dbS());
      }
    }
    for (int i : attempts) {
      Region region = regions.get(i);
      isWrong[i] =
          !region.rejected() && FlawedAlone.isBegunWrong(region, interruptions.isContinued(i));
      flaws[i] =
          (region.rejected() ? REJECTED : 0)
              + (isBrokenOff(region, maxLength, maxDbfs, stopDb)
                  ? breaking(region.heardFrames(), maxLength, usual)
                  : 0)
              + interruption(i)
              + (isWrong[i] ? WRONG : 0)
              + (isKnocked(beside(i)) ? KNOCKED : 0)
              + noise(i, attempts)
              + (beside(i).dbS() > min + MORE_DB_S && !isOutdone(i, attempts) ? DISTURBED : 0)
              + (sureness(region) < surest - LESS_SURE ? UNSURE : 0)
              + (isOutOfTune(i, attempts) ? OUT_OF_TUNE : 0)
              + (isLater(i, attempts) ? LATER : 0);
    }
  }

  /** How much the length of an attempt that seems broken off speaks against it; in frames heard. */
  private static double breaking(double heard, double maxLength, double usual) {
    if (heard >= AS_LONG * usual) {
      return SHORTER;
    }
    return heard < SURELY_BROKEN_OFF * maxLength ? SURELY_BROKEN : BROKEN;
  }

  private Blemishes.Beside beside(int index) {
    return regions.get(index).blemishes().beside();
  }

  /**
   * Whether an attempt was broken off.
   *
   * @param maxLength frames for which the longest attempt is heard
   * @param maxDbfs level of the loudest
   * @param stopDb how far the longest falls where it falls fastest near its end
   */
  private static boolean isBrokenOff(
      Region region, double maxLength, double maxDbfs, double stopDb) {
    double share = region.heardFrames() / maxLength;
    boolean isStopped =
        region.levelDbfs() < maxDbfs - SOFTER_DB
            || region.blemishes().ending().stopDb() > stopDb + STOPS_DB;
    return share < (isStopped ? BROKEN_OFF_STOPPED : BROKEN_OFF);
  }

  /** Whether an attempt was broken off, by another one that was not. */
  static boolean isBrokenOffBeside(Region region, Region whole) {
    return isBrokenOff(
        region, whole.heardFrames(), whole.levelDbfs(), whole.blemishes().ending().stopDb());
  }

  private boolean isInterrupted(int index) {
    return interruptions.goesOver(index, next -> cellOf[next] != Matching.NO_CELL);
  }

  /** How much it speaks against an attempt that something else sets in over it. */
  private double interruption(int index) {
    if (!isInterrupted(index)) {
      return 0;
    }
    return Interruptions.hasRungOut(regions.get(index), regions) ? RUNG_OUT : INTERRUPTED;
  }

  /**
   * How much what comes and goes in an attempt, or is heard between its partials, speaks against
   * it: all where it is more than in any other but one, or than in the other of two. A single quiet
   * one says little against the rest.
   */
  private double noise(int index, List<Integer> attempts) {
    double[] more =
        attempts.stream()
            .filter(other -> other != index && !regions.get(other).rejected())
            .mapToDouble(other -> moreDb(index, other))
            .sorted()
            .toArray();
    if (more.length == 0) {
      return 0;
    }
    double most = more[more.length - 1];
    double second = more[Math.max(0, more.length - 2)];
    if (second > NOISIER_DB) {
      return NOISIER;
    }
    return Math.max(most, second / OUTDONE) > NOISIER_DB ? RATHER_NOISY : 0;
  }

  /**
   * How much more there is of it than in one other attempt, in dB; 0 where this one alone begins
   * while another note still rings, since what is in that note rings into it.
   */
  private double moreDb(int index, int other) {
    return moreDb(regions, interruptions, index, other);
  }

  static double moreDb(List<Region> regions, Interruptions interruptions, int index, int other) {
    return interruptions.isRungInto(index) && !interruptions.isRungInto(other)
        ? 0
        : regions.get(index).blemishes().moreDb(regions.get(other).blemishes());
  }

  /**
   * Whether another attempt has clearly more beside it, laid beside this one: then what this one
   * has is the way in which the note is played.
   */
  private boolean isOutdone(int index, List<Integer> attempts) {
    return attempts.stream().anyMatch(other -> moreDb(other, index) > OUTDONE * NOISIER_DB);
  }

  /** Whether a knock is heard over a note. */
  static boolean isKnocked(Blemishes.Beside beside) {
    return beside.knockDb() >= Blemishes.Beside.KNOCK_DB;
  }

  /** Whether an attempt is out of tune beside the take's notes, and another attempt is not. */
  private boolean isOutOfTune(int index, List<Integer> attempts) {
    double off = tuning.off(regions.get(index), cells.get(cellOf[index]));
    return attempts.stream()
        .mapToDouble(other -> tuning.off(regions.get(other), cells.get(cellOf[other])))
        .anyMatch(other -> tuning.isOutBeside(off, other));
  }

  /** Whether an attempt reaches its pitch later than another one. */
  private boolean isLater(int index, List<Integer> attempts) {
    double least =
        attempts.stream()
            .filter(other -> !regions.get(other).rejected())
            .mapToDouble(this::lateS)
            .min()
            .orElse(0);
    return lateS(index) > least + LATER_S;
  }

  private double lateS(int index) {
    return regions.get(index).blemishes().beginning().lateS();
  }

  private static double sureness(Region region) {
    return region.pitch() == null ? 0 : region.pitch().confidence();
  }

  /** Pitch of a region that has one, as a fractional MIDI note number. */
  static double semitones(Region region) {
    return semitones(region.pitch());
  }

  /** A pitch as a fractional MIDI note number. */
  static double semitones(Pitch pitch) {
    return pitch.midi() + pitch.cents() / 100;
  }

  /** Whether one attempt at a note is so much shorter than another that it was broken off. */
  static boolean isBrokenOff(Region first, Region second) {
    return first.heardFrames() < BROKEN_OFF * second.heardFrames();
  }
}
