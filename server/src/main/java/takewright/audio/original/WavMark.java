package takewright.audio.original;

import java.io.EOFException;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.util.zip.CRC32C;

/**
 * The chunk by which Takewright knows a WAV file of its own: the last one of the file, named {@code
 * twmk}, 12 bytes little-endian: its version, which is 1, the CRC-32C (RFC 3720, appendix B.4) of
 * the audio, and that of all else between the first twelve bytes and the chunk.
 *
 * <p>What a person has edited since no longer fits, whether the editor kept the chunk or dropped
 * it. The checksum guards against mistakes, not against forgery, so a fast one is enough.
 */
public final class WavMark {
  public static final String TAG = "twmk";
  private static final int VERSION = 1;
  private static final int CONTENT_BYTES = 12;

  /** Bytes of the chunk with its header. */
  public static final int BYTES = 8 + CONTENT_BYTES;

  private static final int BLOCK = 1 << 18;

  private WavMark() {}

  /**
   * The chunk.
   *
   * @param audio checksum of the audio, without its pad byte
   * @param rest checksum of all else from the twelfth byte on
   */
  public static ByteBuffer chunk(int audio, int rest) {
    ByteBuffer chunk = ByteBuffer.allocate(BYTES).order(ByteOrder.LITTLE_ENDIAN);
    chunk.put(TAG.getBytes(StandardCharsets.US_ASCII)).putInt(CONTENT_BYTES);
    return chunk.putInt(VERSION).putInt(audio).putInt(rest).flip();
  }

  /** Whether a file bears a mark that fits all of it; false for whatever is no WAV file. */
  static boolean fits(FileChannel channel) throws IOException {
    try {
      MarkedLayout layout = MarkedLayout.of(channel);
      return layout != null
          && layout.mark.equals(chunk(audio(channel, layout), rest(channel, layout)));
    } catch (EOFException e) {
      return false;
    }
  }

  /**
   * Writes the mark again after a change outside the audio.
   *
   * @return false if there is none; the file is left alone then
   */
  public static boolean renew(FileChannel channel) throws IOException {
    MarkedLayout layout = MarkedLayout.of(channel);
    if (layout == null) {
      return false;
    }
    int audio = layout.mark.getInt(12);
    ByteBuffer chunk = chunk(audio, rest(channel, layout));
    while (chunk.hasRemaining()) {
      channel.write(chunk, layout.end + chunk.position());
    }
    return true;
  }

  private static int audio(FileChannel channel, MarkedLayout layout) throws IOException {
    CRC32C crc = new CRC32C();
    update(crc, channel, layout.dataStart, layout.dataEnd);
    return (int) crc.getValue();
  }

  private static int rest(FileChannel channel, MarkedLayout layout) throws IOException {
    CRC32C crc = new CRC32C();
    update(crc, channel, 12, layout.dataStart);
    update(crc, channel, layout.dataEnd, layout.end);
    return (int) crc.getValue();
  }

  private static void update(CRC32C crc, FileChannel channel, long from, long to)
      throws IOException {
    ByteBuffer block = ByteBuffer.allocate((int) Math.min(BLOCK, to - from));
    for (long at = from; at < to; ) {
      block.clear().limit((int) Math.min(block.capacity(), to - at));
      read(channel, at, block);
      crc.update(block);
      at += block.limit();
    }
  }

  private static ByteBuffer read(FileChannel channel, long at, ByteBuffer into) throws IOException {
    int start = into.position();
    while (into.hasRemaining()) {
      if (channel.read(into, at + into.position() - start) < 0) {
        throw new EOFException("the file ends within a chunk");
      }
    }
    return into.flip();
  }

  /**
   * Where the parts of a marked file lie.
   *
   * @param end where the mark begins
   */
  private record MarkedLayout(long dataStart, long dataEnd, long end, ByteBuffer mark) {
    /** Null if this is no WAV file or has no mark at its end. */
    static MarkedLayout of(FileChannel channel) throws IOException {
      long end = channel.size() - BYTES;
      if (end < 12) {
        return null;
      }
      ByteBuffer mark = bytes(channel, end, BYTES);
      ByteBuffer head = bytes(channel, 0, 12);
      String form = tag(head, 0);
      int riffSize = head.getInt(4);
      if (!tag(mark, 0).equals(TAG)
          || !(riffSize == -1 || riffSize == (int) (channel.size() - 8))
          || !(form.equals("RIFF") || form.equals("RF64") || form.equals("BW64"))
          || !tag(head, 8).equals("WAVE")) {
        return null;
      }
      long large = -1;
      for (long at = 12; at + 8 <= end; ) {
        ByteBuffer chunk = bytes(channel, at, 8);
        long size = chunk.getInt(4) & 0xFFFF_FFFFL;
        if (tag(chunk, 0).equals("ds64")) {
          large = bytes(channel, at + 16, 8).getLong(0);
        } else if (tag(chunk, 0).equals("data")) {
          size = size == 0xFFFF_FFFFL ? large : size;
          boolean inside = size >= 0 && size <= end - at - 8;
          return inside ? new MarkedLayout(at + 8, at + 8 + size, end, mark) : null;
        }
        at += 8 + size + (size & 1);
      }
      return null;
    }

    private static ByteBuffer bytes(FileChannel channel, long at, int count) throws IOException {
      return read(channel, at, ByteBuffer.allocate(count).order(ByteOrder.LITTLE_ENDIAN));
    }

    private static String tag(ByteBuffer bytes, int at) {
      return new String(bytes.array(), at, 4, StandardCharsets.US_ASCII);
    }
  }
}
