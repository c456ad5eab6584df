package takewright.library.match;

import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.segment.Region;
import takewright.sheet.cell.CellName;
import takewright.sheet.decision.Correction;
import takewright.sheet.decision.Fix;
import takewright.sheet.decision.Verdict;

/** One region of a take with a person's corrections of it. */
final class Corrected {
  /** As it was heard; null where nothing was and a person says that there is a region. */
  private final Region heard;

  /** As `keep` and `drop` decide on it. */
  private final Region decided;

  private final Map<Integer, Fix> fixes = new TreeMap<>();

  /** With its bounds where a person put them; null while they are as heard. */
  private Region moved;

  Corrected(Region heard, Region decided) {
    this.heard = heard;
    this.decided = decided;
  }

  /**
   * @param order which of the take's fixes it is; later ones hold over earlier ones
   */
  void add(int order, Fix fix) {
    fixes.put(order, fix);
  }

  /** Whether a person said anything of it. */
  boolean hasFixes() {
    return !fixes.isEmpty();
  }

  /** The last fix of it. */
  Fix lastFix() {
    Fix last = null;
    for (Fix fix : fixes.values()) {
      last = fix;
    }
    return last;
  }

  /** All that is corrected about it. */
  Correction correction() {
    Correction all = Correction.NONE;
    for (Fix fix : fixes.values()) {
      all = all.then(fix.correction());
    }
    return all;
  }

  /** What a person says that it is. */
  CellName cell() {
    CellName all = CellName.ANY;
    for (Fix fix : fixes.values()) {
      if (fix.namesWhatItIs()) {
        all = all.then(fix.cell());
      }
    }
    return all;
  }

  boolean isHeard() {
    return heard != null;
  }

  /** The stretch of the take that it lies in now. */
  Region bounds() {
    return moved == null ? decided : moved;
  }

  /** The stretch of the take in which it was heard; null where it was not. */
  Region heard() {
    return heard;
  }

  void moveTo(Region bounds) {
    moved = bounds;
  }

  /**
   * Whether a person put both its ends, so that it can be told from another in the same stretch.
   */
  boolean isBounded() {
    Correction correction = correction();
    return correction.startS() != null && correction.endS() != null;
  }

  /** Whether a fix, not the key `keep`, makes it a sample. */
  boolean isKeptByFix() {
    Verdict verdict = correction().verdict();
    return verdict == Verdict.KEEP || verdict != Verdict.DROP && (!cell().isAny() || heard == null);
  }

  boolean isDropped() {
    return correction().verdict() == Verdict.DROP;
  }

  /**
   * The region as it is matched.
   *
   * @param dropping whether those that a fix drops are left out already
   */
  Region region(boolean dropping) {
    Verdict verdict = correction().verdict();
    Region base = verdict == Verdict.AS_HEARD && heard != null ? heard : decided;
    Region region = moved == null ? base : moved.marked(isRejected(base), marks(base));
    if (isKeptByFix()) {
      return region.marked(false, Flags.with(heardFlags(region), Flag.FORCED));
    }
    if (verdict == Verdict.DROP && dropping) {
      return region.marked(true, Flags.with(heardFlags(region), Flag.DROPPED));
    }
    return region;
  }

  private Set<Flag> heardFlags(Region region) {
    return Flags.without(region.flags(), Flag.FORCED, Flag.DROPPED);
  }

  /** What was said of its old bounds no longer holds of the new ones. */
  private Set<Flag> marks(Region base) {
    Set<Flag> flags = Flags.without(base.flags(), Flag.TOO_LONG, Flag.TOO_SHORT);
    Correction correction = correction();
    flags = correction.startS() == null ? flags : Flags.without(flags, Flag.IN_TAIL);
    flags = correction.endS() == null ? flags : Flags.without(flags, Flag.RINGS_ON);
    return Flags.union(flags, moved.flags());
  }

  private boolean isRejected(Region base) {
    boolean byLength =
        base.flags().contains(Flag.TOO_LONG) || base.flags().contains(Flag.TOO_SHORT);
    return moved.rejected() || base.rejected() && !byLength;
  }
}
