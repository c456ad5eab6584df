package takewright.segment;

import java.io.IOException;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Queue;
import java.util.function.Consumer;
import java.util.function.Predicate;
import takewright.audio.AudioSource;
import takewright.segment.ahead.Ahead;
import takewright.segment.room.TakeBlock;

/**
 * Finds the regions of a take.
 *
 * <p>Memory is bounded whatever the take's length, and time grows in line with it. The channels are
 * mixed for listening; the cuts hold for all of them.
 */
public final class Segment {
  /** Frames read at a time. */
  private static final int BLOCK = 16_384;

  /** Columns of a block that another thread may measure. */
  private static final int BLOCK_COLUMNS = 8;

  /** Blocks that are read before they are needed where another thread helps. */
  private static final int BLOCKS_AHEAD = 4;

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
    return apply(take, settings, asFound, Ahead.NOBODY);
  }

  /**
   * The same with help of another thread, which may do half of the work; what it has not begun by
   * the time it is needed is done here.
   *
   * @param helper runs work in another thread, or says that none is free
   */
  public static Segmentation apply(
      AudioSource take,
      SegmentSettings settings,
      Consumer<Region> asFound,
      Predicate<Runnable> helper)
      throws IOException {
    List<Region> regions = new ArrayList<>();
    CountIn countIn =
        new CountIn(take.sampleRate(), ((Consumer<Region>) regions::add).andThen(asFound));
    Segmenter segmenter = new Segmenter(take.sampleRate(), take.channels(), settings, countIn);
    if (helper == Ahead.NOBODY) {
      pass(take, List.of(segmenter));
    } else {
      passHelped(take, segmenter, new Ahead(helper));
    }
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

  /** The same, with blocks that another thread may measure before they are needed. */
  private static void passHelped(AudioSource take, Segmenter segmenter, Ahead ahead)
      throws IOException {
    segmenter.helpedBy(ahead);
    Queue<TakeBlock> free = new ArrayDeque<>();
    // The one before the next to be read is kept, since that follows it.
    for (int i = 0; i < BLOCKS_AHEAD + 2; i++) {
      free.add(new TakeBlock(take.sampleRate(), take.channels(), BLOCK_COLUMNS));
    }
    Queue<Ahead.Task<TakeBlock>> measuring = new ArrayDeque<>();
    TakeBlock before = null;
    boolean isOver = false;
    while (!isOver || !measuring.isEmpty()) {
      if (!isOver) {
        TakeBlock block = free.remove();
        isOver = !read(take, block, before);
        before = block;
        measuring.add(ahead.begin(block::measure));
      }
      if (isOver || measuring.size() > BLOCKS_AHEAD) {
        TakeBlock block = measuring.remove().result();
        segmenter.push(block.channels(), block.frames(), block);
        free.add(block);
      }
    }
    segmenter.finish();
  }

  /** Fills a block; whether it is whole. */
  private static boolean read(AudioSource take, TakeBlock block, TakeBlock before)
      throws IOException {
    int whole = block.channels()[0].length;
    int frames = 0;
    for (int n = 0; n >= 0 && frames < whole; frames += Math.max(0, n)) {
      n = take.read(block.channels(), frames, whole - frames);
    }
    block.follow(before, frames);
    return frames == whole;
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
