package takewright.loop;

import java.util.ArrayList;
import java.util.List;
import takewright.loop.LoopSearch.Pair;

/** Pairs of moments of a note between which a loop may turn round. */
final class Candidates {
  /** Seconds on either side of two moments that are compared. */
  private static final double REACH_S = 0.08;

  /** Within a loop the smoothed level moves by no more, in dB: it would pump. */
  private static final double MAX_RANGE_DB = 4;

  /** A change of bow within a loop comes back each time. */
  private static final double CHANGE_COST = 2;

  /** Ends are tried so far apart, in seconds: a hundredth of a vibrato's cycle is 1 to 2 ms. */
  private static final double FINE_S = 0.0025;

  /** The phase is compared at moments so far apart, in seconds. */
  private static final double PHASE_STEP_S = 0.01;

  /** Cost of power that is not in step: 1 for a tenth of it. */
  private static final double SLIP_WEIGHT = 10;

  /** Ends lie where the note has no more hiss than this beyond its usual most, in dB. */
  private static final double MAX_TICK_DB = 1;

  /** Ends of each start where more are looked for; with sixty no other note got a good loop. */
  private static final int MORE_ENDS = 8;

  private final NoteCourse course;
  private final SteadyPart steady;
  private final LoopSettings settings;
  private final int rate;
  private final int hop;
  private final int margin;
  private final int reach;
  private final int shortest;
  private final int[] changes;
  private final boolean[] ticks;

  /** Frames on either side of which the phase is compared, and from one comparison to the next. */
  private final int phaseReach;

  private final int phaseStep;

  /** Ends of one start, and what each costs at least. */
  private final int[] ends;

  private final double[] costs;

  /** The phase around an end. */
  private final double[] phaseThere;

  Candidates(
      NoteCourse course, Ticks hiss, SteadyPart steady, LoopSettings settings, int sampleRate) {
    this.course = course;
    this.steady = steady;
    this.settings = settings;
    rate = sampleRate;
    hop = course.hop;
    margin = course.points(settings.fadeS() * rate);
    reach = course.points(REACH_S * rate);
    shortest = course.points(settings.minLengthS() * rate);
    phaseReach = (int) (REACH_S * rate);
    phaseStep = Math.max(1, (int) (PHASE_STEP_S * rate));
    phaseThere = new double[2 * phaseReach / phaseStep + 1];
    ticks = new boolean[course.change.length];
    ends = new int[ticks.length + 1];
    costs = new double[ends.length];
    for (int p = 0; p < ticks.length; p++) {
      ticks[p] = hiss.excessDb(p * hop) > MAX_TICK_DB;
    }
    changes = new int[course.change.length + 1];
    for (int p = 0; p < course.change.length; p++) {
      changes[p + 1] = changes[p] + (course.change[p] ? 1 : 0);
    }
  }

  /** Whether a loop and its cross-fades find room in the steady part. */
  boolean hasRoom() {
    return hasRoom(steady.last() - steady.first());
  }

  /** Whether they would if all of the note were steady. */
  boolean wouldHaveRoom() {
    return hasRoom(steady.sounding());
  }

  private boolean hasRoom(int points) {
    return points >= shortest + 2 * margin;
  }

  /** For each start the end that costs least; none where the note is never steady. */
  List<Pair> find() {
    return find(1, true);
  }

  /**
   * More of them, for a note that has no good loop among the first: several ends for each start, as
   * the best pair is not always the best by the waveform, and also those beside what looks like a
   * change of bow, as the swings of a strong vibrato do.
   */
  List<Pair> findMore() {
    return find(MORE_ENDS, false);
  }

  private List<Pair> find(int perStart, boolean clearOfChanges) {
    List<Pair> pairs = new ArrayList<>();
    int to = steady.last() - Math.max(margin, reach);
    for (int s = steady.first() + margin; s + shortest <= to; s++) {
      if (!ticks[s] && !(clearOfChanges && hasChange(s))) {
        pairs.addAll(bestFrom(s, to, perStart, clearOfChanges));
      }
    }
    return pairs;
  }

  private List<Pair> bestFrom(int s, int to, int max, boolean clearOfChanges) {
    double[] smooth = steady.smooth();
    double low = Double.MAX_VALUE;
    double high = -Double.MAX_VALUE;
    int maxEnd = Math.min(to, s + course.points(settings.maxLengthS() * rate));
    int count = 0;
    int cheapest = 0;
    for (int e = s; e <= maxEnd; e++) {
      low = Math.min(low, smooth[e]);
      high = Math.max(high, smooth[e]);
      if (high - low > MAX_RANGE_DB) {
        break;
      }
      if (e - s < shortest || ticks[e] || clearOfChanges && hasChange(e)) {
        continue;
      }
      double lengthS = (double) (e - s) * hop / rate;
      double off = course.phase.cents(s * hop, e * hop) - steady.pitchCents();
      ends[count] = e;
      costs[count] =
          off * off
              + (0.3 + steady.lifeDb()) / lengthS
              + (changes[e] > changes[s] ? CHANGE_COST : 0);
      cheapest = costs[count] < costs[cheapest] ? count : cheapest;
      count++;
    }
    if (count == 0) {
      return List.of();
    }
    // First the one that promises most: hardly any other has to be looked at closely then.
    double[] phase = course.phase.around(s * hop, phaseReach, phaseStep);
    List<Pair> best = new ArrayList<>();
    insert(best, max, around(s, ends[cheapest], costs[cheapest], phase, bound(best, max)));
    for (int i = 0; i < count; i++) {
      if (i != cheapest && costs[i] < bound(best, max)) {
        insert(best, max, around(s, ends[i], costs[i], phase, bound(best, max)));
      }
    }
    return best;
  }

  /** What a pair must cost less than to be among the best. */
  private static double bound(List<Pair> best, int max) {
    return best.size() < max ? Double.POSITIVE_INFINITY : best.get(max - 1).cost();
  }

  /** Inserts a pair, or none for null, so that the best stand in the order of their costs. */
  private static void insert(List<Pair> best, int max, Pair pair) {
    if (pair == null) {
      return;
    }
    int at = best.size();
    while (at > 0 && pair.cost() < best.get(at - 1).cost()) {
      at--;
    }
    best.add(at, pair);
    if (best.size() > max) {
      best.remove(max);
    }
  }

  /**
   * Of the ends around one the one at which the vibrato is in step; null if none costs less than a
   * bound.
   *
   * @param cost of the pair without what sounds different and what is out of step
   * @param phase around the start
   */
  private Pair around(int s, int e, double cost, double[] phase, double bound) {
    double alike = cost + course.difference(s, e, reach, bound - cost);
    if (alike >= bound) {
      return null;
    }
    int fine = Math.max(1, (int) (FINE_S * rate));
    int end = e * hop;
    int best = end;
    double least = bound;
    double max = maxVariance(least - alike);
    for (int at = end - hop / 2; at < end + hop / 2; at += fine) {
      double variance = course.phase.slip(phase, at, phaseReach, phaseStep, phaseThere);
      if (variance > max) {
        continue;
      }
      double slip = 2 * Math.PI * Math.sqrt(variance);
      double lost = 1 - Math.exp(-0.5 * slip * slip * course.meanSquareHarmonic);
      double all = alike + SLIP_WEIGHT * lost;
      if (all < least) {
        least = all;
        best = at;
        max = maxVariance(least - alike);
      }
    }
    return least < bound ? new Pair(s * hop, best, least) : null;
  }

  /**
   * A variance of the phase beyond which what is out of step surely costs more than so much: with
   * it most ends need neither a root nor an exponential.
   */
  private double maxVariance(double cost) {
    double lost = cost / SLIP_WEIGHT;
    return lost >= 1
        ? Double.POSITIVE_INFINITY
        : NoteCourse.SURELY
            * -2
            * Math.log(1 - lost)
            / (4 * Math.PI * Math.PI * course.meanSquareHarmonic);
  }

  private boolean hasChange(int point) {
    int from = Math.max(0, point - margin);
    int to = Math.min(changes.length - 1, point + Math.max(margin, reach));
    return changes[to] > changes[from];
  }
}
