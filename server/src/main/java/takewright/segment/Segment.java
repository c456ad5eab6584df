package takewright.segment;

import java.io.IOException;
import java.util.ArrayList;
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
    float[][] block = new float[take.channels()][BLOCK];
    for (int n; (n = take.read(block, 0, BLOCK)) >= 0; ) {
      segmenter.push(block, n);
    }
    segmenter.finish();
    countIn.finish();
    return new Segmentation(
        regions,
        segmenter.roomTone(),
        segmenter.roomToneDbfs(),
        segmenter.frames(),
        take.sampleRate());
  }
}
