package takewright.library.match;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.segment.Region;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellName;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.decision.Correction;
import takewright.sheet.decision.Fix;
import takewright.sheet.decision.Verdict;

/**
 * The regions of a take with a person's corrections. Those found by a time come before the regions
 * are matched with the cells, those found by a cell afterwards.
 *
 * <p>A fix that gives both ends makes a region where none was heard, and of one region that holds
 * two sounds two fixes make two. What lies wholly within the bounds that a person gave to another
 * region belongs to that one.
 */
public final class Corrections {
  /** Listens to a stretch of the take. */
  public interface Hearing {
    /**
     * What is heard between other bounds.
     *
     * @param was what was heard there before; null for nothing
     * @param start first frame
     * @param onset frame of the onset
     * @param end first frame after it
     */
    Region hear(Region was, long start, long onset, long end) throws IOException;
  }

  private final Take take;
  private final int sampleRate;
  private final long frames;
  private final Hearing hearing;
  private final UnmetFixes says;
  private final List<Corrected> all = new ArrayList<>();
  private boolean dropping;

  private Corrections(
      Take take, int sampleRate, long frames, Hearing hearing, List<SheetProblem> warnings) {
    this.take = take;
    this.sampleRate = sampleRate;
    this.frames = frames;
    this.hearing = hearing;
    says = new UnmetFixes(take.name(), sampleRate, warnings);
  }

  /**
   * Finds the region of each fix that names a time.
   *
   * @param heard the regions of the take
   * @param decided the same as `keep` and `drop` decide on them
   * @param sampleRate of the take, in hertz
   * @param frames of the take
   * @param warnings receives fixes that fit no region
   */
  public static Corrections of(
      Take take,
      List<Region> heard,
      List<Region> decided,
      int sampleRate,
      long frames,
      Hearing hearing,
      List<SheetProblem> warnings)
      throws IOException {
    Corrections corrections = new Corrections(take, sampleRate, frames, hearing, warnings);
    for (int i = 0; i < heard.size(); i++) {
      corrections.all.add(new Corrected(heard.get(i), decided.get(i)));
    }
    for (int order = 0; order < take.fixes().size(); order++) {
      Fix fix = take.fixes().get(order);
      if (fix.isByTime()) {
        corrections.addByTime(order, fix);
      }
    }
    corrections.all.sort(Comparator.comparing(one -> one.bounds().start()));
    return corrections;
  }

  private void addByTime(int order, Fix fix) throws IOException {
    Corrected found = at(fix.atS());
    boolean isOther =
        found != null && isBounded(fix) && found.isBounded() && isApart(fix, found.correction());
    if ((found == null || isOther) && isBounded(fix) && move(null, fix, fix.correction())) {
      all.get(all.size() - 1).add(order, fix);
    } else if (found == null) {
      says.missed(fix, all);
    } else if (!isOther) {
      found.add(order, fix);
      if (fix.correction().movesBounds()) {
        move(found, fix, found.correction());
      }
    }
  }

  private static boolean isBounded(Fix fix) {
    return fix.correction().startS() != null && fix.correction().endS() != null;
  }

  private static boolean isApart(Fix fix, Correction other) {
    return fix.correction().startS() >= other.endS() || fix.correction().endS() <= other.startS();
  }

  /** The region at a time: first as it lies now, then as it was heard. */
  private Corrected at(double seconds) {
    long frame = Math.round(seconds * sampleRate);
    for (Corrected one : all) {
      if (holds(one.bounds(), frame)) {
        return one;
      }
    }
    return all.stream()
        .filter(one -> one.isHeard() && holds(one.heard(), frame))
        .findFirst()
        .orElse(null);
  }

  private static boolean holds(Region region, long frame) {
    return frame >= region.start() && frame < region.end();
  }

  /**
   * Moves a region to the bounds that a person gives, or adds one.
   *
   * @param of the region; null for a new one
   * @return whether there is a sound between them
   */
  private boolean move(Corrected of, Fix fix, Correction to) throws IOException {
    Region was = of == null ? null : of.heard() == null ? of.bounds() : of.heard();
    long start = to.startS() == null ? was.start() : frame(to.startS());
    long end = to.endS() == null ? was.end() : frame(to.endS());
    long leadIn = Math.round(take.leadInMs() / 1000 * sampleRate);
    long onset = to.startS() == null ? was.onset() : start + leadIn;
    if (onset >= end) {
      says.empty(fix, start, end);
      return false;
    }
    Region moved = hearing.hear(was, start, onset, end);
    if (of == null) {
      all.add(new Corrected(null, moved));
    } else {
      of.moveTo(moved);
    }
    return true;
  }

  private long frame(double seconds) {
    return Math.min(frames, Math.round(seconds * sampleRate));
  }

  /** The regions as they are to be matched, in the order of the take. */
  public List<Region> regions() {
    List<Corrected> moved = all.stream().filter(one -> one.correction().movesBounds()).toList();
    List<Region> regions = new ArrayList<>();
    for (Corrected one : all) {
      Region region = one.region(dropping);
      boolean isPart =
          !one.hasFixes() && moved.stream().anyMatch(other -> absorbs(other.bounds(), region));
      regions.add(isPart ? region.marked(true, Flags.with(region.flags(), Flag.DROPPED)) : region);
    }
    return regions;
  }

  private static boolean absorbs(Region other, Region region) {
    return other.start() <= region.start() && other.end() >= region.end();
  }

  /**
   * What a person says that each region is.
   *
   * @param cells what the take should hold; what fits none of them is said, and says nothing
   */
  public List<CellName> named(List<Cell> cells) {
    List<CellName> names = new ArrayList<>();
    for (Corrected one : all) {
      CellName name = one.cell();
      if (!name.isAny() && cells.stream().noneMatch(name::fits)) {
        says.unasked(one);
        name = CellName.ANY;
      }
      names.add(name);
    }
    return names;
  }

  /**
   * Leaves out the regions that fixes drop. Other regions may fill their cells then, but none that
   * fills a cell moves to another.
   *
   * @param matching how all regions match the cells
   * @return what each region is from then on; null if none is dropped
   */
  public List<CellName> drop(List<CellName> named, List<Cell> cells, Matching matching)
      throws IOException {
    addByCell(cells, matching, true);
    dropping = true;
    if (all.stream().noneMatch(Corrected::isDropped)) {
      return null;
    }
    List<CellName> settled = new ArrayList<>(named);
    for (int i = 0; i < all.size(); i++) {
      if (matching.statuses().get(i) == CellStatus.KEPT && !all.get(i).isDropped()) {
        settled.set(i, CellName.of(cells.get(matching.cells()[i])));
      }
    }
    return settled;
  }

  /** Finds the regions of each other fix that names cells. */
  public void addByCell(List<Cell> cells, Matching matching) throws IOException {
    addByCell(cells, matching, false);
  }

  private void addByCell(List<Cell> cells, Matching matching, boolean drops) throws IOException {
    for (int order = 0; order < take.fixes().size(); order++) {
      Fix fix = take.fixes().get(order);
      boolean isDrop = fix.correction().verdict() == Verdict.DROP;
      if (fix.isByTime() || fix.acceptsMissing() || isDrop != drops) {
        continue;
      }
      boolean found = false;
      for (int i = 0; i < all.size(); i++) {
        int cell = matching.cells()[i];
        if (matching.statuses().get(i) == CellStatus.KEPT && fix.cell().fits(cells.get(cell))) {
          Corrected one = all.get(i);
          found = true;
          one.add(order, fix);
          if (fix.correction().movesBounds()) {
            move(one, fix, one.correction());
          }
        }
      }
      if (!found) {
        says.unfilled(fix, all, cells, matching);
      }
    }
  }

  /** All corrections, a region each. */
  public List<Correction> all() {
    return all.stream().map(Corrected::correction).toList();
  }

  /**
   * The regions once they are matched: what a fix keeps is not marked for it, as a person has
   * looked at it already, and the ends that a person put stay.
   *
   * @param matched the regions with further marks and with ends that bars or other round robins ask
   *     for
   */
  public List<Region> finished(List<Region> matched) {
    List<Region> finished = new ArrayList<>();
    for (int i = 0; i < all.size(); i++) {
      Corrected one = all.get(i);
      Region region = matched.get(i);
      if (one.correction().endS() != null) {
        region =
            region
                .until(one.bounds().end())
                .marked(region.rejected(), Flags.without(region.flags(), Flag.SHORT_OF_BARS));
      }
      if (one.isKeptByFix()) {
        region = region.marked(region.rejected(), Flags.without(region.flags(), Flag.FORCED));
      }
      finished.add(region);
    }
    return finished;
  }

  /**
   * Reports what fixes could not do.
   *
   * @param finished the regions with their final bounds
   */
  public void sayUnmet(Matching matching, List<Region> finished) {
    for (int i = 0; i < all.size(); i++) {
      Corrected one = all.get(i);
      CellStatus status = matching.statuses().get(i);
      if (one.hasFixes() && status != CellStatus.KEPT) {
        says.leftOut(one, status);
      } else if (one.hasFixes()) {
        says.loop(one, finished.get(i));
      }
    }
  }
}
