package takewright.library.match;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.Take;
import takewright.sheet.cell.CellStatus;

/**
 * Cuts the regions of a take that was played to a beat to whole bars. A sounding tail is never cut:
 * a sample is as long as its bars, or as it sounds, whichever is longer.
 */
public final class Bars {
  /** Pitches that are no further apart than this may be one note, in semitones. */
  private static final double SAME_NOTE = 0.6;

  private Bars() {}

  /**
   * Puts together what is one sample: a swell or a rhythm may be silent for up to a beat within its
   * bars. A longer wait, other notes, or a part that would sound on for more than a beat behind the
   * bars is a beginning of its own.
   *
   * @param sampleRate of the take, in hertz
   */
  public static List<Region> join(Take take, List<Region> regions, int sampleRate) {
    if (take.tempoBpm() == null) {
      return regions;
    }
    double beat = 60 / take.tempoBpm() * sampleRate;
    double bars = take.barsLengthS() * sampleRate;
    List<Region> joined = new ArrayList<>();
    for (Region region : regions) {
      Region before = joined.isEmpty() ? null : joined.get(joined.size() - 1);
      boolean one =
          before != null
              && region.onset() - before.end() <= beat
              && region.end() <= before.onset() + bars + beat
              && mayBeOne(before, region);
      if (one) {
        joined.set(joined.size() - 1, both(before, region));
      } else {
        joined.add(region);
      }
    }
    return joined;
  }

  private static boolean mayBeOne(Region a, Region b) {
    if (a.rejected() && b.rejected()
        || a.flags().contains(Flag.TALK)
        || b.flags().contains(Flag.TALK)
        || a.flags().contains(Flag.KNOCK)
        || b.flags().contains(Flag.KNOCK)) {
      return false;
    }
    if (a.pitch() == null || b.pitch() == null) {
      return true;
    }
    double apart = semitones(a.pitch()) - semitones(b.pitch());
    return Math.abs(apart - 12 * Math.round(apart / 12)) <= SAME_NOTE;
  }

  private static double semitones(Pitch pitch) {
    return pitch.midi() + pitch.cents() / 100;
  }

  private static Region both(Region a, Region b) {
    // The part that is a note, and of two the louder one, says what it is.
    Region said = a.rejected() || !b.rejected() && b.levelDbfs() > a.levelDbfs() ? b : a;
    return new Region(
        a.start(),
        a.onset(),
        b.end(),
        said.kind(),
        said.pitch(),
        said.confidence(),
        said.rejected(),
        said.flags(),
        Math.max(a.peakDbfs(), b.peakDbfs()),
        Math.max(a.levelDbfs(), b.levelDbfs()),
        said.blemishes(),
        said.guess());
  }

  /**
   * Gives each region that is kept at least the length of its bars from its onset on, as far as the
   * next region and the take's end allow.
   *
   * @param statuses what became of each region
   * @param sampleRate of the take, in hertz
   * @param frames of the take
   */
  public static List<Region> fill(
      Take take, List<Region> regions, List<CellStatus> statuses, int sampleRate, long frames) {
    if (take.tempoBpm() == null) {
      return regions;
    }
    double halfBeat = 30 / take.tempoBpm() * sampleRate;
    long bars = Math.round(take.barsLengthS() * sampleRate);
    List<Region> filled = new ArrayList<>();
    for (int i = 0; i < regions.size(); i++) {
      Region r = regions.get(i);
      if (statuses.get(i) != CellStatus.KEPT) {
        filled.add(r);
        continue;
      }
      long limit = i + 1 < regions.size() ? regions.get(i + 1).start() : frames;
      long end = Math.max(r.end(), Math.min(limit, r.onset() + bars));
      Set<Flag> flags = r.flags();
      if (r.onset() + bars - r.end() > halfBeat) {
        flags = Flags.with(flags, Flag.SHORT_OF_BARS);
      }
      filled.add(r.until(end).marked(r.rejected(), flags));
    }
    return filled;
  }
}
