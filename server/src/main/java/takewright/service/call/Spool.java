package takewright.service.call;

import java.io.Closeable;
import java.io.EOFException;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import takewright.audio.AudioSource;
import takewright.audio.original.CheckedFile;
import takewright.service.access.Limits;

/**
 * Streamed audio in a temporary file that only this user can read, so that it can be read more than
 * once without keeping it in memory.
 */
final class Spool implements Closeable {
  /** Frames written or read at a time: 8192 frames of two channels are 64 KiB. */
  private static final int BLOCK = 8192;

  private final FileChannel file;
  private final int sampleRate;
  private final int channels;
  private final long frames;

  /** Bytes that count against the limit. */
  private long held;

  /** Reads {@code source} to its end. */
  Spool(AudioSource source) throws IOException {
    sampleRate = source.sampleRate();
    channels = source.channels();
    Path path = Files.createTempFile("takewright-", ".pcm");
    file =
        FileChannel.open(
            path,
            StandardOpenOption.READ,
            StandardOpenOption.WRITE,
            StandardOpenOption.DELETE_ON_CLOSE);
    boolean whole = false;
    try {
      frames = fill(source, path);
      whole = true;
    } finally {
      if (!whole) {
        close();
      }
    }
  }

  private long fill(AudioSource source, Path path) throws IOException {
    float[][] planar = new float[channels][BLOCK];
    ByteBuffer bytes = ByteBuffer.allocate(4 * channels * BLOCK);
    long total = 0;
    for (int n = source.read(planar, 0, BLOCK); n >= 0; n = source.read(planar, 0, BLOCK)) {
      bytes.clear();
      for (int i = 0; i < n; i++) {
        for (int c = 0; c < channels; c++) {
          bytes.putFloat(planar[c][i]);
        }
      }
      bytes.flip();
      Limits.spool(bytes.limit());
      held += bytes.limit();
      CheckedFile.write(path, file, bytes);
      total += n;
    }
    return total;
  }

  /** The audio from its start; readers are independent of each other. */
  AudioSource open() {
    return new SpoolSource();
  }

  @Override
  public void close() throws IOException {
    Limits.unspool(held);
    held = 0;
    file.close();
  }

  private final class SpoolSource implements AudioSource {
    private final ByteBuffer bytes = ByteBuffer.allocate(4 * channels * BLOCK);
    private long at;

    @Override
    public int sampleRate() {
      return sampleRate;
    }

    @Override
    public int channels() {
      return channels;
    }

    @Override
    public long frames() {
      return frames;
    }

    @Override
    public int read(float[][] planar, int offset, int count) throws IOException {
      int n = (int) Math.min(Math.min(count, BLOCK), frames - at);
      if (n <= 0) {
        return count == 0 ? 0 : -1;
      }
      bytes.clear().limit(4 * channels * n);
      long position = 4L * channels * at;
      while (bytes.hasRemaining()) {
        if (file.read(bytes, position + bytes.position()) < 0) {
          throw new EOFException("the temporary file of a stream was cut off");
        }
      }
      bytes.flip();
      for (int i = offset; i < offset + n; i++) {
        for (int c = 0; c < channels; c++) {
          planar[c][i] = bytes.getFloat();
        }
      }
      at += n;
      return n;
    }

    @Override
    public void close() {}
  }
}
