package takewright.audio.original;

import java.nio.ByteBuffer;
import java.util.Arrays;
import java.util.zip.CRC32;
import java.util.zip.CRC32C;

/**
 * The chunk by which Takewright knows a PNG picture of its own, before the last one: {@code twMK},
 * which by its letters is ancillary, private, and not to be copied by an editor that changes the
 * picture (ISO/IEC 15948, 5.4), with the CRC-32C of all other bytes.
 */
final class PngMark implements ContentMark {
  static final PngMark INSTANCE = new PngMark();
  private static final byte[] TAG = {'t', 'w', 'M', 'K'};

  /** IEND, with its length and its checksum. */
  private static final int END_BYTES = 12;

  private static final int BYTES = 16;

  private PngMark() {}

  @Override
  public byte[] mark(byte[] content) {
    int at = content.length - END_BYTES;
    if (at < 0) {
      return content; // No picture, so it gets no mark.
    }
    byte[] marked = new byte[content.length + BYTES];
    System.arraycopy(content, 0, marked, 0, at);
    System.arraycopy(chunk(content), 0, marked, at, BYTES);
    System.arraycopy(content, at, marked, at + BYTES, END_BYTES);
    return marked;
  }

  @Override
  public boolean fits(byte[] marked) {
    int at = marked.length - END_BYTES - BYTES;
    if (at < 0) {
      return false;
    }
    byte[] content = Arrays.copyOf(marked, marked.length - BYTES);
    System.arraycopy(marked, at + BYTES, content, at, END_BYTES);
    return Arrays.equals(chunk(content), Arrays.copyOfRange(marked, at, at + BYTES));
  }

  private static byte[] chunk(byte[] content) {
    CRC32C own = new CRC32C();
    own.update(content);
    ByteBuffer chunk = ByteBuffer.allocate(BYTES).putInt(4).put(TAG).putInt((int) own.getValue());
    CRC32 crc = new CRC32();
    crc.update(chunk.array(), 4, 8);
    return chunk.putInt((int) crc.getValue()).array();
  }
}
