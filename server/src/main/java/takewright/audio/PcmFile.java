package takewright.audio;

import java.io.IOException;

/** Reads uncompressed audio. */
final class PcmFile implements AudioFile {
  /** Large enough to make system calls cheap, small enough for a core's cache. */
  private static final int BUFFER_BYTES = 256 * 1024;

  private final FileBytes bytes;
  private final PcmLayout layout;
  private final int blockFrames;
  private byte[] buffer = new byte[0];
  private long next;

  PcmFile(FileBytes bytes, PcmLayout layout) {
    this.bytes = bytes;
    this.layout = layout;
    this.blockFrames = BUFFER_BYTES / layout.frameBytes();
  }

  @Override
  public int sampleRate() {
    return layout.sampleRate();
  }

  @Override
  public int channels() {
    return layout.channels();
  }

  @Override
  public long frames() {
    return layout.frames();
  }

  @Override
  public int bitDepth() {
    return layout.bitDepth();
  }

  @Override
  public boolean floatingPoint() {
    return layout.format().kind() == SampleFormat.Encoding.FLOAT;
  }

  @Override
  public String container() {
    return layout.container();
  }

  @Override
  public WavChunks chunks() {
    return layout.chunks();
  }

  @Override
  public void seek(long frame) {
    if (frame < 0 || frame > layout.frames()) {
      throw new IllegalArgumentException(
          "frame must be 0 to " + layout.frames() + ", not " + frame);
    }
    next = frame;
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    if (count <= 0) {
      return 0;
    }
    int wanted = (int) Math.min(count, layout.frames() - next);
    if (wanted == 0) {
      return -1;
    }
    int frameBytes = layout.frameBytes();
    for (int done = 0; done < wanted; ) {
      int n = Math.min(blockFrames, wanted - done);
      if (buffer.length < n * frameBytes) {
        buffer = new byte[n * frameBytes];
      }
      bytes.fill(layout.start() + next * frameBytes, buffer, 0, n * frameBytes);
      for (int c = 0; c < layout.channels(); c++) {
        layout
            .format()
            .decode(buffer, c * layout.format().bytes(), frameBytes, planar[c], offset + done, n);
        if (floatingPoint()) {
          checkFinite(planar[c], offset + done, n, c);
        }
      }
      next += n;
      done += n;
    }
    return wanted;
  }

  /** Zero times a number is zero, but times infinity or NaN it is NaN, which a sum keeps. */
  private void checkFinite(float[] samples, int offset, int count, int channel)
      throws BadAudioException {
    float sum = 0;
    for (int i = offset; i < offset + count; i++) {
      sum += samples[i] * 0f;
    }
    if (sum == 0f) {
      return;
    }
    for (int i = offset; i < offset + count; i++) {
      if (!Float.isFinite(samples[i])) {
        throw bytes.bad(
            "holds a sample that is no number ("
                + samples[i]
                + ") at frame "
                + (next + i - offset)
                + " of channel "
                + (channel + 1)
                + "",
            "export it again as 24-bit integer");
      }
    }
  }

  @Override
  public void close() throws IOException {
    bytes.close();
  }
}
