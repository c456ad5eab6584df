package takewright.audio;

import java.io.IOException;

/** Some channels of a file. */
final class SomeChannels implements AudioFile {
  private final AudioFile whole;
  private final int first;
  private final int channels;
  private final float[][] all;
  private float[] unheard = new float[0];

  /**
   * @param first first channel, from 0
   */
  SomeChannels(AudioFile whole, int first, int channels) {
    this.whole = whole;
    this.first = first;
    this.channels = channels;
    all = new float[whole.channels()][];
  }

  /** The file writes its other channels into an array that nobody reads. */
  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    if (unheard.length < offset + count) {
      unheard = new float[offset + count];
    }
    for (int c = 0; c < all.length; c++) {
      boolean isHeard = c >= first && c < first + channels;
      all[c] = isHeard ? planar[c - first] : unheard;
    }
    return whole.read(all, offset, count);
  }

  @Override
  public void seek(long frame) throws IOException {
    whole.seek(frame);
  }

  @Override
  public int sampleRate() {
    return whole.sampleRate();
  }

  @Override
  public int channels() {
    return channels;
  }

  @Override
  public long frames() {
    return whole.frames();
  }

  @Override
  public int bitDepth() {
    return whole.bitDepth();
  }

  @Override
  public boolean floatingPoint() {
    return whole.floatingPoint();
  }

  @Override
  public String container() {
    return whole.container();
  }

  @Override
  public WavChunks chunks() {
    return whole.chunks();
  }

  @Override
  public void close() throws IOException {
    whole.close();
  }
}
