package takewright.library.take;

import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.HashMap;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import takewright.dsp.Medians;
import takewright.pitch.Kind;
import takewright.segment.Region;

/**
 * Notes that are far longer or shorter than those around them: something else is in them, or a part
 * of them is not. What a note is at other pitches and dynamics of its take says how long it should
 * be.
 */
final class OddLengths {
  /** Notes on either side in pitch that a note is compared with. */
  private static final int NEIGHBOURS = 4;

  /** Fewer show no habit. */
  private static final int MIN_NEIGHBOURS = 4;

  /**
   * A length beyond this multiple of its neighbours' median is odd, or below that fraction of it.
   * In 58 builds of recorded notes, held and short, none differed by more than 2.4 times but one
   * that held a knock.
   */
  private static final double ODD = 2.5;

  private OddLengths() {}

  /** The regions of such notes; they are told apart by identity. */
  static Set<Region> of(List<KeptRegion> kept) {
    Map<String, List<KeptRegion>> byDynamic = new HashMap<>();
    for (KeptRegion one : kept) {
      if (one.region().kind() == Kind.PITCHED && one.cell().midi() != null) {
        byDynamic.computeIfAbsent(one.cell().dynamic(), d -> new ArrayList<>()).add(one);
      }
    }
    Set<Region> odd = Collections.newSetFromMap(new IdentityHashMap<>());
    for (List<KeptRegion> notes : byDynamic.values()) {
      notes.sort(Comparator.comparingInt(one -> one.cell().midi())); // stable
      double[] lengths = notes.stream().mapToDouble(OddLengths::length).toArray();
      for (int i = 0; i < lengths.length; i++) {
        // Whoever has set its bounds has decided how long it is.
        boolean isDecided = notes.get(i).correction().movesBounds();
        if (!isDecided && isOdd(lengths, i)) {
          odd.add(notes.get(i).region());
        }
      }
    }
    return odd;
  }

  /** From its onset, in frames. */
  private static double length(KeptRegion kept) {
    return kept.region().end() - kept.region().onset();
  }

  private static boolean isOdd(double[] lengths, int at) {
    int from = Math.max(0, at - NEIGHBOURS);
    int to = Math.min(lengths.length, at + NEIGHBOURS + 1);
    if (to - from - 1 < MIN_NEIGHBOURS) {
      return false;
    }
    double[] near = new double[to - from - 1];
    for (int i = from, n = 0; i < to; i++) {
      if (i != at) {
        near[n++] = lengths[i];
      }
    }
    double usual = Medians.of(near);
    return lengths[at] > ODD * usual || lengths[at] < usual / ODD;
  }
}
