package takewright.segment;

import java.util.ArrayList;
import java.util.List;

/**
 * Finds the regions of a take while it is played.
 *
 * <p>It listens twice. One ear says some 0.2 s after a sound what it seems to have been; the other
 * is {@link Segment} itself, which looks 20 s ahead of each decision and so is that much behind,
 * and confirms or corrects the first. At the end of the take nothing is left but what {@link
 * Segment} says of the whole. Memory is bounded but for the regions.
 */
public final class LiveSegment {
  /**
   * A sound of the take.
   *
   * @param number from 1, in the order in which they were first heard; one that is corrected keeps
   *     its number, and none is given twice
   * @param region what is known of it
   * @param isSettled whether that is final
   */
  public record HeardRegion(int number, Region region, boolean isSettled) {}

  private final Segmenter quick;
  private final Segmenter sure;
  private final CountIn countIn;
  private final List<HeardRegion> settled = new ArrayList<>();
  private final List<HeardRegion> early = new ArrayList<>();
  private int numbers;
  private int version;

  public LiveSegment(int sampleRate, int channels, SegmentSettings settings) {
    countIn = new CountIn(sampleRate, this::settle);
    sure = new Segmenter(sampleRate, channels, settings, countIn);
    quick = new Segmenter(sampleRate, channels, settings, this::hear, this::hear);
  }

  /**
   * Takes frames in, in blocks of any size.
   *
   * @param channels one array a channel, full scale at ±1
   */
  public void push(float[][] channels, int count) {
    quick.push(channels, count);
    sure.push(channels, count);
    forgetUpTo(countIn.heldFrom(sure.settled()));
  }

  /** Ends the take. */
  public void finish() {
    sure.finish();
    countIn.finish();
    forgetUpTo(Long.MAX_VALUE);
  }

  /** What has been heard so far, in the order of the take. */
  public List<HeardRegion> heard() {
    List<HeardRegion> all = new ArrayList<>(settled);
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
    int last = early.size() - 1;
    if (last >= 0 && overlap(early.get(last).region(), region)) {
      if (!early.get(last).region().equals(region)) {
        early.set(last, new HeardRegion(early.get(last).number(), region, false));
        version++;
      }
    } else {
      early.add(new HeardRegion(++numbers, region, false));
      version++;
    }
  }

  private void settle(Region region) {
    int number = 0;
    for (int i = 0; i < early.size() && number == 0; i++) {
      if (overlap(early.get(i).region(), region)) {
        number = early.remove(i).number();
      }
    }
    settled.add(new HeardRegion(number > 0 ? number : ++numbers, region, true));
    version++;
  }

  /** Takes back what the second ear did not hear. */
  private void forgetUpTo(long frame) {
    if (early.removeIf(heard -> heard.region().end() <= frame)) {
      version++;
    }
  }

  private static boolean overlap(Region a, Region b) {
    return a.start() < b.end() && b.start() < a.end();
  }
}
