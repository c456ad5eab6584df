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
    Segmenter segmenter =
        new Segmenter(
            take.sampleRate(), settings, ((Consumer<Region>) regions::add).andThen(asFound));
    float[][] block = new float[take.channels()][BLOCK];
    float[] mono = new float[BLOCK];
    for (int n; (n = take.read(block, 0, BLOCK)) >= 0; ) {
      mix(block, mono, n);
      segmenter.push(mono, 0, n);
    }
    segmenter.finish();
    return new Segmentation(
        regions,
        segmenter.roomTone(),
        segmenter.roomToneDbfs(),
        segmenter.frames(),
        take.sampleRate());
  }

  private static void mix(float[][] block, float[] mono, int frames) {
    System.arraycopy(block[0], 0, mono, 0, frames);
    if (block.length == 1) {
      return;
    }
    for (int c = 1; c < block.length; c++) {
      for (int i = 0; i < frames; i++) {
        mono[i] += block[c][i];
      }
    }
    float share = 1f / block.length;
    for (int i = 0; i < frames; i++) {
      mono[i] *= share;
    }
  }
}
