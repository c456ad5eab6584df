package takewright.library.match;

import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import takewright.library.match.OtherPlan.Difference;
import takewright.pitch.Kind;
import takewright.segment.Region;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;

/**
 * Looks for a plan that what was played fits much better than the sheet: the same notes higher or
 * lower, another range, more or fewer round robins, another order. A build would else give hundreds
 * of samples wrong names.
 *
 * <p>It must never stop a build whose plan is right, whatever is missing, played again, flawed or
 * heard wrongly. So it asks for many regions, most of which must agree, and for notes that lie
 * outside of the sheet: what is merely missing is no other plan.
 */
public final class PlanSearch {
  /** Fewer regions show no plan by their notes alone. */
  private static final int MIN_REGIONS = 8;

  /** Fewer show none by their order either. */
  private static final int MIN_IN_ORDER = 5;

  /** Fewer notes show no habit. */
  private static final int MIN_GROUPS = 6;

  /** The furthest that a plan is shifted, in semitones. */
  private static final int MAX_SHIFT = 36;

  /** So many regions must lie outside of the sheet's notes, */
  private static final int MIN_OUTSIDE = 3;

  /** of which another plan explains all but this share. */
  private static final double UNEXPLAINED = 0.25;

  /** Another plan's notes hold at least this share of all regions. */
  private static final double MOST = 0.9;

  /**
   * Many flawed attempts are other notes than those that were asked for. Then at least half of what
   * lies outside of the sheet must be explained, and the order must fit as well.
   */
  private static final double HALF = 0.5;

  /** At least this share of another plan's notes was played. */
  private static final double MOSTLY_PLAYED = 0.8;

  /**
   * Confidence from which a pitch counts where all must agree: short low notes are often no surer,
   * and right.
   */
  private static final double LIKELY = 0.4;

  /** And where single notes tell. */
  private static final double SURE = 0.6;

  /** A note of another range was played at least this share of the times it should be. */
  private static final double MOSTLY_REPEATED = 0.75;

  /** Another range explains at least this share of what was played beyond the sheet's. */
  private static final double MUCH = 0.25;

  private static final int MAX_ROUND_ROBINS = 8;

  /** So few of the notes were played as often as the sheet asks: the second attempts at those. */
  private static final double FEW = 0.3;

  /**
   * What is shorter than this share of the usual note may be a beginning on the wrong note: before
   * the lowest note, where the highest is missing, it would speak for another range.
   */
  private static final double AS_LONG = 0.8;

  /** Cost that another count of round robins saves for each note and dynamic. */
  private static final double SAVED_EACH = 1.5;

  /** And it costs less than this share of the sheet's own. */
  private static final double CLEARLY = 0.6;

  private final Sheet sheet;
  private final Take take;
  private final List<Region> regions;
  private final Matching own;
  private final int sampleRate;
  private final boolean isOver;
  private final HeardNotes heard;

  /** What is heard in regions that are as long as usual. */
  private final HeardNotes whole;

  private PlanSearch(
      Sheet sheet, Take take, List<Region> regions, Matching own, int sampleRate, boolean isOver) {
    this.sheet = sheet;
    this.take = take;
    this.regions = regions;
    this.own = own;
    this.sampleRate = sampleRate;
    this.isOver = isOver;
    heard = HeardNotes.of(regions, LIKELY);
    whole = HeardNotes.of(HeardNotes.asLongAs(AS_LONG, regions), LIKELY);
  }

  /**
   * The plan that a take fits much better than the sheet's; null if there is none.
   *
   * @param regions those of the take
   * @param own how they match the sheet
   * @param sampleRate of the take, in hertz
   * @param isOver whether the take is over; of one that is not nothing is missing yet
   */
  public static OtherPlan find(
      Sheet sheet, Take take, List<Region> regions, Matching own, int sampleRate, boolean isOver) {
    if (!canBeJudged(take)) {
      return null;
    }
    return new PlanSearch(sheet, take, regions, own, sampleRate, isOver).find();
  }

  /**
   * All ways in which a take that is over fits another plan much better, each found in the plan
   * that the one before makes of the sheet; empty if there are none. Parameters as of {@link
   * #find}.
   */
  public static List<OtherPlan> findAll(
      Sheet sheet, Take take, List<Region> regions, Matching own, int sampleRate) {
    List<OtherPlan> found = new ArrayList<>();
    Set<Difference> differences = new HashSet<>();
    OtherPlan next = find(sheet, take, regions, own, sampleRate, true);
    while (next != null && differences.add(next.difference())) {
      found.add(next);
      Matching matching = TakeAlignment.match(regions, sheet.cells(next.fits()), sampleRate, true);
      next = find(sheet, next.fits(), regions, matching, sampleRate, true);
    }
    return found;
  }

  /** Whether a take has notes and a plan of its own. */
  public static boolean canBeJudged(Take take) {
    return take.kind() == Kind.PITCHED && !take.notes().isEmpty() && !take.fills().isPickUp();
  }

  private OtherPlan find() {
    if (heard.regions() < MIN_IN_ORDER) {
      return null;
    }
    OtherPlan found = shifted();
    if (heard.regions() < MIN_REGIONS) {
      return found;
    }
    found = found == null && isOver ? otherNotes() : found;
    found = found == null ? otherRoundRobins() : found;
    found = found == null && isOver ? otherOrder() : found;
    return found == null ? OtherDynamics.find(sheet, take, regions, own) : found;
  }

  /** The sheet's notes, moved by a number of semitones. */
  private Set<Integer> notes(int semitones) {
    Set<Integer> notes = new HashSet<>();
    take.notes().forEach(midi -> notes.add(midi + semitones));
    return notes;
  }

  private OtherPlan shifted() {
    int outside = heard.outside(notes(0));
    int unheard = heard.unheard(notes(0));
    int best = outside < MIN_OUTSIDE ? 0 : shiftOfStrangers(outside, unheard);
    best = best == 0 && isOver ? shiftOfEnds() : best;
    if (best == 0) {
      return null;
    }
    int all = heard.regions();
    int agree = all - heard.outside(notes(best));
    List<Integer> notes = moved(best);
    return OtherPlan.shifted(
        take, take.played(notes, take.order()), new OtherPlan.Shift(best, agree, all));
  }

  /** The shift, in semitones, that leaves the fewest strangers; 0 if none fits. */
  private int shiftOfStrangers(int outside, int unheard) {
    int best = 0;
    double least = Double.POSITIVE_INFINITY;
    for (int semitones : likeliestShifts()) {
      if (fits(semitones, outside, unheard)) {
        double strangers = strangers(semitones);
        if (strangers < least) {
          best = semitones;
          least = strangers;
        }
      }
    }
    return best;
  }

  /**
   * A shift, in semitones, that only the ends of the range tell, as a semitone does of a chromatic
   * take: at one end as much is not heard as was played beyond the other, in its place in the
   * order. 0 if there is none.
   */
  private int shiftOfEnds() {
    int best = 0;
    double least = Double.POSITIVE_INFINITY;
    if (heard.regions() >= MIN_REGIONS) {
      for (int semitones : likeliestShifts()) {
        double cost = endsFit(semitones);
        if (cost < least) {
          best = semitones;
          least = cost;
        }
      }
    }
    return best;
  }

  /** What the notes cost where they are moved; infinity where the ends do not speak for that. */
  private double endsFit(int semitones) {
    Set<Integer> moved = notes(semitones);
    Set<Integer> beyond = new HashSet<>(moved);
    beyond.removeAll(notes(0));
    Set<Integer> gone = notes(0);
    gone.removeAll(moved);
    int added = whole.regions() - whole.outside(beyond);
    int left = heard.regions() - heard.outside(gone);
    boolean isInRange = Collections.min(moved) >= 0 && Collections.max(moved) <= 127;
    boolean isAdded =
        whole.unheard(beyond) == 0 && added >= Math.max(1, HALF * each() * beyond.size());
    boolean holdsMost = heard.outside(moved) <= (1 - MOST) * heard.regions();
    if (!isInRange || !isAdded || !holdsMost || left > UNEXPLAINED * added) {
      return Double.POSITIVE_INFINITY;
    }
    double cost = cost(semitones);
    boolean isInPlace =
        own.cost() - cost >= MOSTLY_REPEATED * AlignmentCosts.MISSING_AND_EXTRA * added;
    return isInPlace ? cost : Double.POSITIVE_INFINITY;
  }

  /** How often each note is to be played. */
  private int each() {
    return take.dynamics().size() * take.roundRobins();
  }

  /**
   * Shifts in semitones, the likeliest first: octaves, as middle C has several names, then the
   * nearest. Of two that fit equally well the likelier holds.
   */
  private static List<Integer> likeliestShifts() {
    List<Integer> shifts = new ArrayList<>();
    for (int n = 1; n <= MAX_SHIFT; n++) {
      shifts.add(n);
      shifts.add(-n);
    }
    shifts.sort(Comparator.comparing(semitones -> semitones % 12 != 0)); // stable
    return shifts;
  }

  /** How much does not fit where the notes are moved. */
  private double strangers(int semitones) {
    if (isOver) {
      return heard.outside(notes(semitones)) + heard.unheard(notes(semitones));
    }
    // Of the notes that may still come only the order tells which were left out.
    return cost(semitones);
  }

  /** Whether the sheet's notes fit much better where they are moved. */
  private boolean fits(int semitones, int outside, int unheard) {
    Set<Integer> moved = notes(semitones);
    int lowest = Collections.min(moved);
    int highest = Collections.max(moved);
    if (lowest < 0 || highest > 127) {
      return false;
    }
    int left = heard.outside(moved);
    boolean holdsMost = heard.regions() >= MIN_REGIONS && left <= (1 - MOST) * heard.regions();
    boolean explains = left <= UNEXPLAINED * outside;
    // As long as the take is not over, what is not heard may still come.
    boolean isPlayed =
        !isOver
            ? outside >= MUCH * heard.regions()
            : heard.unheard(moved) <= (1 - MOSTLY_PLAYED) * moved.size()
                && heard.unheard(moved) <= UNEXPLAINED * unheard;
    boolean explainsHalf = left <= HALF * outside && outside - left >= MIN_OUTSIDE;
    return isPlayed && (holdsMost && explains || explainsHalf && ordersFit(semitones));
  }

  /**
   * Whether the regions in their order fit the moved notes much better: by at least as much as the
   * fewest regions outside of the sheet cost.
   */
  private boolean ordersFit(int semitones) {
    double cost = cost(semitones);
    return cost <= CLEARLY * own.cost()
        && own.cost() - cost >= MIN_OUTSIDE * AlignmentCosts.MISSING_AND_EXTRA;
  }

  private double cost(int semitones) {
    return cost(take.played(moved(semitones), take.order()));
  }

  private List<Integer> moved(int semitones) {
    return take.notes().stream().map(midi -> midi + semitones).toList();
  }

  /** Another range or step, of which much lies outside of the sheet's. */
  private OtherPlan otherNotes() {
    int each = each();
    // Without attempts that were broken off.
    HeardNotes sure = HeardNotes.of(HeardNotes.asLongAs(HALF, regions), SURE);
    List<Integer> played = sure.atLeast(Math.max(1, MOSTLY_REPEATED * each));
    if (played.size() < MIN_GROUPS) {
      return null;
    }
    Set<Integer> asked = notes(0);
    List<Integer> beyond = played.stream().filter(midi -> !asked.contains(midi)).toList();
    int outside = sure.outside(asked);
    boolean isMuch =
        beyond.size() >= MIN_OUTSIDE
            && beyond.size() >= MUCH * played.size()
            && outside >= Math.max(2 * MIN_OUTSIDE, 0.5 * each * beyond.size())
            && sure.outside(new HashSet<>(played)) <= (1 - MOST) * sure.regions();
    // What was played less often belongs to it as well, and so does what was left out of a range.
    List<Integer> most = sure.atLeast(Math.max(1, HALF * each));
    List<Integer> range = HeardNotes.range(most, MOSTLY_PLAYED);
    boolean isPlan = each > 1 && beyond.size() >= MIN_GROUPS || range != null;
    if (!isMuch || !isPlan) {
      return null;
    }
    List<Integer> inOrder = new ArrayList<>(range != null ? range : most);
    if (take.notes().size() > 1 && take.notes().get(1) < take.notes().get(0)) {
      Collections.reverse(inOrder);
    }
    String evidence =
        String.format(
            Locale.ROOT,
            "%d of %d sounds of %s are notes that it does not ask for",
            outside,
            sure.regions(),
            take.name());
    return OtherPlan.other(Difference.NOTES, take, take.played(inOrder, take.order()), evidence);
  }

  private OtherPlan otherRoundRobins() {
    int groups = take.notes().size() * take.dynamics().size();
    double strangers =
        (isOver ? own.missing().size() : 0)
            + own.statuses().stream().filter(s -> s != CellStatus.KEPT).count();
    if (groups < MIN_GROUPS || strangers < 0.5 * groups) {
      return null;
    }
    int best = take.roundRobins();
    double cost = own.cost();
    for (int rr = 1; rr <= MAX_ROUND_ROBINS; rr++) {
      boolean isMissingRounds = rr < take.roundRobins() && (!isOver || isSlowest(Take.Axis.RR));
      if (rr != take.roundRobins() && !isMissingRounds) {
        double other = cost(take.repeated(rr));
        if (other < cost) {
          cost = other;
          best = rr;
        }
      }
    }
    boolean isMeant = cost < CLEARLY * own.cost() && own.cost() - cost > SAVED_EACH * groups;
    if (best == take.roundRobins() || !isMeant || best < take.roundRobins() && !isSeldomFull()) {
      return null;
    }
    String evidence =
        String.format(
            Locale.ROOT,
            "in %s most notes were played %s at each dynamic, where the sheet asks for %d",
            take.name(),
            best == 1 ? "once" : best + " times",
            take.roundRobins());
    return OtherPlan.other(Difference.ROUND_ROBINS, take, take.repeated(best), evidence);
  }

  /** Whether few of the notes that were played have all their round robins. */
  private boolean isSeldomFull() {
    List<Cell> cells = sheet.cells(take);
    Map<List<Object>, Integer> filled = new HashMap<>();
    for (int i = 0; i < regions.size(); i++) {
      int at = own.cells()[i];
      if (at >= 0 && own.statuses().get(i) == CellStatus.KEPT) {
        filled.merge(List.of(cells.get(at).midi(), cells.get(at).dynamic()), 1, Integer::sum);
      }
    }
    long full = filled.values().stream().filter(n -> n == take.roundRobins()).count();
    return full <= FEW * filled.size();
  }

  private double cost(Take other) {
    return TakeAlignment.match(regions, sheet.cells(other), sampleRate, isOver).cost();
  }

  private boolean isSlowest(Take.Axis axis) {
    return take.order().get(0) == axis;
  }

  private OtherPlan otherOrder() {
    PlayedOrder.Fit fit = PlayedOrder.best(sheet, take, regions, own, sampleRate);
    return fit == null || !fit.isSure()
        ? null
        : OtherPlan.other(Difference.ORDER, take, fit.take(), fit.evidence());
  }
}
