package takewright.segment;

import java.io.IOException;
import takewright.audio.AudioSource;

/** Finds the regions of a take. */
public final class Segment {
  private Segment() {}

  /** Reads {@code take} to its end and finds its regions. */
  public static Segmentation apply(AudioSource take, SegmentSettings settings) throws IOException {
    throw new UnsupportedOperationException("not yet");
  }
}
