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
   * A length above 2.5 times its longest neighbour's is odd, or below 1/2.5 of its shortest one's:
   * bars and plucked strings ring for seconds at one end of their range only.
   */
  private static final double ODD_OCTAVES = log2(2.5);

  /** Share of its length for which a note is heard itself, where nothing follows it in its tail. */
  private static final double MOSTLY_HEARD = 0.7;

  private OddLengths() {}

  /** The regions of such notes; they are told apart by identity. */
  static Set<Region> of(List<KeptRegion> kept, int sampleRate) {
    List<KeptRegion> all = new ArrayList<>();
    Map<String, List<KeptRegion>> byDynamic = new LinkedHashMap<>();
    for (KeptRegion one : kept) {
      if (one.region().kind() == Kind.PITCHED && one.cell().midi() != null) {
        all.add(one);
        byDynamic.computeIfAbsent(one.cell().dynamic(), d -> new ArrayList<>()).add(one);
      }
    }
    all.sort(Comparator.comparingInt(one -> one.cell().midi())); // stable
    List<Compared> compared = new ArrayList<>();
    byDynamic.forEach(
        (dynamic, alike) -> {
          alike.sort(Comparator.comparingInt(one -> one.cell().midi()));
          compare(dynamic, alike.size() > MIN_NEIGHBOURS ? alike : all, compared);
        });
    Set<Region> odd = Collections.newSetFromMap(new IdentityHashMap<>());
    for (Compared one : compared) {
      if (one.isOdd() && compared.stream().noneMatch(one::isConfirmedBy)) {
        odd.add(one.note.region());
      }
    }
    // What is no note at all says nothing of how notes end.
    List<KeptRegion> notes = kept.stream().filter(one -> !odd.contains(one.region())).toList();
    odd.addAll(BrokenOff.of(notes, sampleRate));
    return odd;
  }

  /**
   * A note beside its neighbours.
   *
   * @param octaves log2 of how many times it is as long as its longest neighbour, above 0, or as
   *     its shortest one, below 0; 0 if it is as long as any
   */
  private record Compared(KeptRegion note, double octaves) {
    boolean isOdd() {
      return Math.abs(octaves) > ODD_OCTAVES;
    }

    /** Whether it is the same note at another dynamic, at least half as odd in the same way. */
    boolean isConfirmedBy(Compared other) {
      return note.cell().midi().equals(other.note.cell().midi())
          && !note.cell().dynamic().equals(other.note.cell().dynamic())
          && other.octaves * Math.signum(octaves) > ODD_OCTAVES / 2;
    }
  }

  private static void compare(String dynamic, List<KeptRegion> notes, List<Compared> compared) {
    double[] lengths = notes.stream().mapToDouble(OddLengths::length).toArray();
    boolean[] isOvertaken = new boolean[lengths.length];
    for (int i = 0; i < lengths.length; i++) {
      isOvertaken[i] = notes.get(i).isOvertaken();
    }
    for (int i = 0; i < lengths.length; i++) {
      KeptRegion one = notes.get(i);
      // Whoever has set its bounds has decided how long it is.
      if (one.cell().dynamic().equals(dynamic) && !one.correction().movesBounds()) {
        double octaves = octaves(lengths, isOvertaken, i);
        boolean mayBe = octaves < 0 ? mayBeShort(notes, i) : octaves > 0 && mayBeLong(notes, i);
        compared.add(new Compared(one, mayBe ? 0 : octaves));
      }
    }
  }

  /**
   * Whether nothing shows that a note should be longer: it ended by itself, and lies beyond all
   * that it is compared with. Bars ring for seconds up to one note, and for a moment from the next
   * on. Of 22 notes that were too short while they were recorded four were whole, all of them such
   * notes, and one other was such a note (103 takes, 2026-11-30). Whether it was broken off, how it
   * stops tells.
   */
  private static boolean mayBeShort(List<KeptRegion> notes, int at) {
    return isBeyondAll(notes, at) && BrokenOff.isOverInTime(notes.get(at));
  }

  /** Whether such a note is heard itself for most of its length: nothing else makes it so long. */
  private static boolean mayBeLong(List<KeptRegion> notes, int at) {
    return isBeyondAll(notes, at)
        && notes.get(at).region().heardFrames() >= MOSTLY_HEARD * length(notes.get(at));
  }

  private static boolean isBeyondAll(List<KeptRegion> notes, int at) {
    int midi = notes.get(at).cell().midi();
    boolean isLowest = at == 0 && notes.get(1).cell().midi() > midi;
    boolean isHighest = at == notes.size() - 1 && notes.get(at - 1).cell().midi() < midi;
    return isLowest || isHighest;
  }

  /** From its onset, in frames. */
  private static double length(KeptRegion kept) {
    return kept.region().end() - kept.region().onset();
  }

  /** How odd a length is beside those around it; 0 where they show no habit. */
  private static double octaves(double[] lengths, boolean[] isOvertaken, int at) {
    int from = Math.max(0, at - NEIGHBOURS);
    int to = Math.min(lengths.length, at + NEIGHBOURS + 1);
    if (to - from - 1 < MIN_NEIGHBOURS) {
      return 0;
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
      return 0; // they ring on, and show no length of their own
    }
    // Lengths may fall towards one end of the range, so that the nearest is what counts.
    Arrays.sort(near);
    double longest = near[near.length - 1];
    return log2(lengths[at] / Math.max(near[0], Math.min(longest, lengths[at])));
  }

  private static double log2(double x) {
    return Math.log(x) / Math.log(2);
  }
}
