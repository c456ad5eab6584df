package takewright.library.take;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.Comparator;
import java.util.IdentityHashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.pitch.Kind;
import takewright.segment.Region;

/**
 * Notes that are far longer or shorter than those around them: something else is in them, or a part
 * of them is not. What a note is at other pitches of its take and dynamic says how long it should
 * be, or at other dynamics where there are too few of its own. A note that is odd in the same way
 * at two dynamics sounds like that: nobody makes the same mistake twice.
 */
final class OddLengths {
  /** Notes on either side in pitch that a note is compared with. */
  private static final int NEIGHBOURS = 4;

  /** Fewer show no habit. */
  private static final int MIN_NEIGHBOURS = 3;

  /**
   * A length beyond this multiple of its longest neighbour's is odd, or below that fraction of its
   * shortest one's: bars and plucked strings ring for seconds at one end of their range only.
   */
  private static final double ODD = 2.5;

  private OddLengths() {}

  /** The regions of such notes; they are told apart by identity. */
  static Set<Region> of(List<KeptRegion> kept) {
    List<KeptRegion> all = new ArrayList<>();
    Map<String, List<KeptRegion>> byDynamic = new LinkedHashMap<>();
    for (KeptRegion one : kept) {
      if (one.region().kind() == Kind.PITCHED && one.cell().midi() != null) {
        all.add(one);
        byDynamic.computeIfAbsent(one.cell().dynamic(), d -> new ArrayList<>()).add(one);
      }
    }
    List<KeptRegion> tooLong = new ArrayList<>();
    List<KeptRegion> tooShort = new ArrayList<>();
    all.sort(Comparator.comparingInt(one -> one.cell().midi())); // stable
    byDynamic.forEach(
        (dynamic, alike) -> {
          alike.sort(Comparator.comparingInt(one -> one.cell().midi()));
          addOdd(dynamic, alike.size() > MIN_NEIGHBOURS ? alike : all, tooLong, tooShort);
        });
    Set<Region> odd = Collections.newSetFromMap(new IdentityHashMap<>());
    addUnlessConfirmed(tooLong, odd);
    addUnlessConfirmed(tooShort, odd);
    // What is no note at all says nothing of how notes end.
    odd.addAll(BrokenOff.of(kept.stream().filter(one -> !odd.contains(one.region())).toList()));
    return odd;
  }

  private static void addUnlessConfirmed(List<KeptRegion> notes, Set<Region> odd) {
    for (KeptRegion one : notes) {
      if (notes.stream().noneMatch(other -> isSameNoteElsewhere(one, other))) {
        odd.add(one.region());
      }
    }
  }

  private static boolean isSameNoteElsewhere(KeptRegion one, KeptRegion other) {
    return one.cell().midi().equals(other.cell().midi())
        && !one.cell().dynamic().equals(other.cell().dynamic());
  }

  private static void addOdd(
      String dynamic, List<KeptRegion> notes, List<KeptRegion> tooLong, List<KeptRegion> tooShort) {
    double[] lengths = notes.stream().mapToDouble(OddLengths::length).toArray();
    boolean[] isOvertaken = new boolean[lengths.length];
    for (int i = 0; i < lengths.length; i++) {
      isOvertaken[i] = notes.get(i).isOvertaken();
    }
    for (int i = 0; i < lengths.length; i++) {
      KeptRegion one = notes.get(i);
      // Whoever has set its bounds has decided how long it is.
      boolean isJudged = one.cell().dynamic().equals(dynamic) && !one.correction().movesBounds();
      if (!isJudged) {
        continue;
      }
      double[] near = near(lengths, isOvertaken, i);
      if (near.length > 0 && lengths[i] > ODD * near[near.length - 1]) {
        tooLong.add(one);
      } else if (near.length > 0 && lengths[i] < near[0] / ODD) {
        tooShort.add(one);
      }
    }
  }

  /** From its onset, in frames. */
  private static double length(KeptRegion kept) {
    return kept.region().end() - kept.region().onset();
  }

  /** The lengths around it, shortest first; none where they show no habit. */
  private static double[] near(double[] lengths, boolean[] isOvertaken, int at) {
    int from = Math.max(0, at - NEIGHBOURS);
    int to = Math.min(lengths.length, at + NEIGHBOURS + 1);
    if (to - from - 1 < MIN_NEIGHBOURS) {
      return new double[0];
    }
    double[] near = new double[to - from - 1];
    int overtaken = 0;
    for (int i = from, n = 0; i < to; i++) {
      if (i != at) {
        near[n++] = lengths[i];
        overtaken += isOvertaken[i] ? 1 : 0;
      }
    }
    if (2 * overtaken > near.length) {
      return new double[0]; // they ring on, and show no length of their own
    }
    // Lengths may fall towards one end of the range, so that the nearest is what counts.
    Arrays.sort(near);
    return near;
  }
}
