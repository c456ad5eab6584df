package takewright.segment;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.function.Consumer;
import takewright.audio.AudioSource;

/**
 * Finds the regions of a take.
 *
 * <p>Memory is bounded whatever the take's length, and time grows in line with it. The channels are
 * mixed for listening; the cuts hold for all of them.
 */
public final class Segment {
  /** Frames read at a time. */
  private static final int BLOCK = 16_384;

  private Segment() {}

  /** Reads {@code take} to its end and finds its regions. */
  public static Segmentation apply(AudioSource take, SegmentSettings settings) throws IOException {
    return apply(take, settings, region -> {});
  }

  /**
   * The same, and hands each region on as soon as it is certain, which is about 20 s behind the
   * read.
   */
  public static Segmentation apply(
      AudioSource take, SegmentSettings settings, Consumer<Region> asFound) throws IOException {
    List<Region> regions = new ArrayList<>();
    CountIn countIn =
        new CountIn(take.sampleRate(), ((Consumer<Region>) regions::add).andThen(asFound));
    Segmenter segmenter = new Segmenter(take.sampleRate(), take.channels(), settings, countIn);
    pass(take, List.of(segmenter));
    countIn.finish();
    return new Segmentation(
        regions,
        segmenter.roomTone().stretches(),
        segmenter.roomTone().dbfs(),
        segmenter.course(),
        segmenter.frames(),
        take.sampleRate());
  }

  /**
   * Measures the regions that a person marked in a take: each starts and ends at the marked frames,
   * and its onset is found in it. What was marked is measured but not judged: a region with a flag
   * like {@code talk} is still said to be rejected.
   *
   * @param spans the marks, in any order; those that begin behind the take's end are left out. They
   *     may overlap, and then the take is heard once more for each that lies on top.
   * @return the regions in the order of their starts; as room tone only what is neither heard nor
   *     marked as a region
   */
  public static Segmentation marked(
      AudioSource take, SegmentSettings settings, List<MarkedSpan> spans) throws IOException {
    int rate = take.sampleRate();
    List<Region> found = new ArrayList<>();
    List<Region> regions = new ArrayList<>();
    Segmenter room = new Segmenter(rate, take.channels(), settings, found::add);
    List<Segmenter> all = new ArrayList<>(List.of(room));
    for (MarkedSpans row : MarkedSpans.rows(spans)) {
      all.add(new Segmenter(rate, take.channels(), settings, regions::add, row));
    }
    pass(take, all);
    regions.sort(Comparator.comparingLong(Region::start));
    return new Segmentation(
        regions,
        outside(room.roomTone().stretches(), regions),
        room.roomTone().dbfs(),
        room.course(),
        room.frames(),
        rate);
  }

  private static void pass(AudioSource take, List<Segmenter> segmenters) throws IOException {
    float[][] block = new float[take.channels()][BLOCK];
    for (int n; (n = take.read(block, 0, BLOCK)) >= 0; ) {
      for (Segmenter segmenter : segmenters) {
        segmenter.push(block, n);
      }
    }
    segmenters.forEach(Segmenter::finish);
  }

  /** Stretches that no region touches. */
  private static List<FrameRange> outside(List<FrameRange> stretches, List<Region> regions) {
    return stretches.stream()
        .filter(
            stretch ->
                regions.stream()
                    .noneMatch(r -> r.start() < stretch.end() && stretch.start() < r.end()))
        .toList();
  }
}
