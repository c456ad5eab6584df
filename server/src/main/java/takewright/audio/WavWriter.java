package takewright.audio;

import java.io.Closeable;
import java.io.IOException;
import java.nio.file.Path;

/**
 * Writes a WAV file so that it appears under its name only when it is whole: into a temporary file
 * beside it, which {@link #commit} flushes to the disk and renames. Closed without a commit,
 * nothing stays.
 */
public final class WavWriter implements Closeable {
  private WavWriter() {}

  /**
   * Starts a file.
   *
   * @param file where it shall appear
   * @param sampleRate frames a second
   * @param channels number of channels
   * @param bitDepth 16, 24 or 32-bit integer; TPDF dither (seeded, so that the same audio gives the
   *     same bytes) where the floats hold more than the file can
   * @param chunks what stands beside the audio
   */
  public static WavWriter create(
      Path file, int sampleRate, int channels, int bitDepth, WavChunks chunks) throws IOException {
    throw new UnsupportedOperationException("not yet");
  }

  /** Writes a whole clip as a file. */
  public static void write(Path file, Clip clip, int bitDepth, WavChunks chunks)
      throws IOException {
    throw new UnsupportedOperationException("not yet");
  }

  /** Appends frames; samples beyond full scale are held at it. */
  public void append(float[][] planar, int offset, int count) throws IOException {
    throw new UnsupportedOperationException("not yet");
  }

  /** Ends the file, flushes it to the disk and gives it its name. */
  public void commit() throws IOException {
    throw new UnsupportedOperationException("not yet");
  }

  @Override
  public void close() throws IOException {}
}
