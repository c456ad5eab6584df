package takewright.library.follow;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.function.IntPredicate;
import java.util.stream.IntStream;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.library.match.Matching;
import takewright.library.take.RegionFlags;
import takewright.segment.Region;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/**
 * What a build would find wrong with each sound of a take so far. An attempt that is still wanted
 * is judged as if it were used, whatever else the matching has found for its cell by then; what
 * others are held against is what the matching uses.
 */
final class FlagsSoFar {
  /** So much longer the first ear takes a note to be than the second, in seconds. */
  private static final double FIRST_EAR_S = 0.14;

  private final List<Region> regions;
  private final List<Set<Flag>> flags;
  private final Matching used;
  private final StillWanted wanted;

  /**
   * Finds what is wrong.
   *
   * @param regions as they were matched
   * @param isEarly which regions the first ear alone has heard, by their index: what is found of
   *     them is also what would be if they were as short as they may be
   * @param sampleRate of the take, in hertz
   */
  FlagsSoFar(
      Take take,
      List<Region> regions,
      List<Cell> cells,
      Matching matching,
      IntPredicate isEarly,
      int sampleRate) {
    this.regions = regions;
    List<Region> shortest = new ArrayList<>();
    for (int i = 0; i < regions.size(); i++) {
      Region region = regions.get(i);
      long end = region.end() - (long) (FIRST_EAR_S * sampleRate);
      shortest.add(isEarly.test(i) ? region.until(Math.max(region.onset() + 1, end)) : region);
    }
    List<Set<Flag>> matched = RegionFlags.of(take, regions, cells, matching, sampleRate);
    wanted = new StillWanted(regions, cells, matching, matched);
    used = wanted.used();
    // What is not used after all, like a note that was broken off, shows nothing of how notes are.
    boolean isAnyEarly = IntStream.range(0, regions.size()).anyMatch(isEarly);
    flags =
        isAnyEarly
            ? RegionFlags.of(take, shortest, cells, matching, sampleRate)
            : new ArrayList<>(matched);
    boolean isAnyWanted = IntStream.range(0, regions.size()).anyMatch(wanted::isWanted);
    List<Set<Flag>> asUsed =
        isAnyWanted ? RegionFlags.of(take, shortest, cells, used, sampleRate) : flags;
    for (int i = 0; i < regions.size(); i++) {
      if (wanted.isWanted(i)) {
        flags.set(i, asUsed.get(i));
      }
      // What an attempt is beside the one that is used is known already where that came later.
      if (wanted.isReplaced(i)) {
        flags.set(i, Flags.union(flags.get(i), matched.get(i)));
      }
    }
  }

  /** What is wrong with a region. */
  Set<Flag> of(int region) {
    return flags.get(region);
  }

  /** Adds what is wrong with a region. */
  void add(int region, Flag flag) {
    flags.set(region, Flags.with(flags.get(region), flag));
  }

  /** What became of a region, where an attempt that is still wanted counts as a sample. */
  CellStatus status(int region) {
    return used.statuses().get(region);
  }

  /** Whether a region is a sample, or one that is wanted. */
  boolean isUsed(int region) {
    return status(region) == CellStatus.KEPT;
  }

  /** Whether a region is softer than each that is used, if any is. */
  boolean isSofterThanUsed(int region) {
    double softest =
        IntStream.range(0, regions.size())
            .filter(i -> isUsed(i) && !regions.get(i).rejected())
            .mapToDouble(i -> regions.get(i).levelDbfs())
            .min()
            .orElse(Double.NEGATIVE_INFINITY);
    return regions.get(region).levelDbfs() < softest;
  }
}
