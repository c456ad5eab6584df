package takewright.segment;

import java.util.ArrayList;
import java.util.List;

/**
 * Finds the regions of a take while it is played.
 *
 * <p>It listens three times. The first ear says some 0.2 s after a sound what it seems to have
 * been, but does not hear another note begin before that one has ended. The second decides a second
 * later and does. The third is {@link Segment} itself, which looks 20 s ahead of each decision and
 * so is that much behind. Each confirms or corrects the one before. At the end of the take nothing
 * is left but what {@link Segment} says of the whole. Memory is bounded but for the regions.
 */
public final class LiveSegment {
  /**
   * A sound of the take.
   *
   * @param number from 1, in the order in which they were first heard; one that is corrected keeps
   *     its number, and none is given twice
   * @param region what is known of it
   * @param ear which ear heard it so
   */
  public record HeardRegion(int number, Region region, Ear ear) {
    /** Whether what is known of it is final. */
    public boolean isSettled() {
      return ear == Ear.SURE;
    }
  }

  /** Who heard a sound: each later ear confirms or corrects the one before. */
  public enum Ear {
    /** 0.2 s after the sound; it may take what follows for a part of it. */
    QUICK,
    /** A second later. */
    SOON,
    /** 20 s later, as a build does. */
    SURE
  }

  private final Segmenter quick;
  private final Segmenter soon;
  private final Segmenter sure;
  private final CountIn countIn;
  private final List<HeardRegion> settled = new ArrayList<>();

  /** What the second ear said since, in the order of the take. */
  private final List<HeardRegion> confirmed = new ArrayList<>();

  /** What the first ear said since; the last may go on. */
  private final List<HeardRegion> early = new ArrayList<>();

  /** Where the last region of the second ear ended. */
  private long confirmedEnd;

  private int numbers;
  private int version;

  public LiveSegment(int sampleRate, int channels, SegmentSettings settings) {
    countIn = new CountIn(sampleRate, this::settle);
    sure = new Segmenter(sampleRate, channels, settings, countIn);
    soon = Segmenter.soon(sampleRate, channels, settings, this::confirm);
    quick = new Segmenter(sampleRate, channels, settings, this::hear, this::hear);
  }

  /**
   * Takes frames in, in blocks of any size.
   *
   * @param channels one array a channel, full scale at ±1
   */
  public void push(float[][] channels, int count) {
    quick.push(channels, count);
    soon.push(channels, count);
    forget(early, soon.settled());
    sure.push(channels, count);
    forgetAll(countIn.heldFrom(sure.settled()));
  }

  /** Ends the take. */
  public void finish() {
    sure.finish();
    countIn.finish();
    forgetAll(Long.MAX_VALUE);
  }

  /** What has been heard so far, in the order of the take. */
  public List<HeardRegion> heard() {
    List<HeardRegion> all = new ArrayList<>(settled);
    all.addAll(confirmed);
    all.addAll(early);
    return all;
  }

  /** Changes whenever {@link #heard()} does. */
  public int version() {
    return version;
  }

  /** Level of the room with nobody playing so far, RMS in dBFS. */
  public double roomToneDbfs() {
    return quick.roomTone().dbfs();
  }

  /** Frames processed. */
  public long frames() {
    return quick.frames();
  }

  private void hear(Region region) {
    if (region.start() < confirmedEnd) {
      // More sound came, and the second ear knows already that it is another note.
      return;
    }
    int last = early.size() - 1;
    if (last >= 0 && overlap(early.get(last).region(), region)) {
      if (!early.get(last).region().equals(region)) {
        early.set(last, new HeardRegion(early.get(last).number(), region, Ear.QUICK));
        version++;
      }
    } else {
      early.add(new HeardRegion(++numbers, region, Ear.QUICK));
      version++;
    }
  }

  private void confirm(Region region) {
    boolean isKnown = early.stream().anyMatch(one -> overlap(one.region(), region));
    if (region.rejected() && !isKnown) {
      // Of a slow attack it may be the beginning of what the first ear still hears.
      return;
    }
    confirmedEnd = region.end();
    confirmed.add(new HeardRegion(number(region, early), region, Ear.SOON));
    version++;
  }

  private void settle(Region region) {
    settled.add(new HeardRegion(number(region, confirmed, early), region, Ear.SURE));
    version++;
  }

  /** The number of what was said of a region before, which is forgotten; else a new one. */
  @SafeVarargs
  private int number(Region region, List<HeardRegion>... before) {
    HeardRegion same = null;
    for (List<HeardRegion> heard : before) {
      for (HeardRegion one : heard) {
        boolean isMore = same == null || shared(one, region) > shared(same, region);
        same = overlap(one.region(), region) && isMore ? one : same;
      }
    }
    if (same != null) {
      for (List<HeardRegion> heard : before) {
        heard.remove(same);
      }
      return same.number();
    }
    return ++numbers;
  }

  private void forgetAll(long frame) {
    forget(confirmed, frame);
    forget(early, frame);
  }

  /** Takes back what a later ear did not hear. */
  private void forget(List<HeardRegion> heard, long frame) {
    if (heard.removeIf(one -> one.region().end() <= frame)) {
      version++;
    }
  }

  /** Frames that two regions share; a knock may lie right before a note, and reach into it. */
  private static long shared(HeardRegion heard, Region region) {
    long from = Math.max(heard.region().start(), region.start());
    return Math.min(heard.region().end(), region.end()) - from;
  }

  private static boolean overlap(Region a, Region b) {
    return a.start() < b.end() && b.start() < a.end();
  }
}
