package takewright.report;

import java.io.ByteArrayOutputStream;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.util.zip.CRC32;
import java.util.zip.Deflater;

/**
 * PNG files (ISO/IEC 15948) of 8 bits per channel. Written here, because the JDK's own writer needs
 * the whole desktop module, which a server's Java may lack.
 */
final class Png {
  private static final byte[] SIGNATURE = {(byte) 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'};

  /** Colour types of the standard. */
  private static final int GREY = 0;

  private static final int RGB = 2;

  /** Row filter "up": each byte less the one above it, which suits smooth pictures. */
  private static final byte UP = 2;

  /** Of zlib: a third of the usual 6's time, for a tenth more bytes. */
  private static final int LEVEL = 2;

  private Png() {}

  /**
   * A picture in shades of grey.
   *
   * @param pixels 0 black to 255 white, row by row from the top
   */
  static byte[] grey(int width, int height, byte[] pixels) {
    return encode(width, height, 1, GREY, pixels);
  }

  /**
   * A picture in colour.
   *
   * @param pixels red, green and blue of each pixel, row by row from the top
   */
  static byte[] rgb(int width, int height, byte[] pixels) {
    return encode(width, height, 3, RGB, pixels);
  }

  private static byte[] encode(int width, int height, int channels, int type, byte[] pixels) {
    int stride = width * channels;
    byte[] rows = new byte[height * (stride + 1)];
    for (int y = 0; y < height; y++) {
      int to = y * (stride + 1);
      int from = y * stride;
      rows[to++] = UP;
      for (int x = 0; x < stride; x++) {
        int above = y == 0 ? 0 : pixels[from - stride + x];
        rows[to + x] = (byte) (pixels[from + x] - above);
      }
    }
    ByteArrayOutputStream out = new ByteArrayOutputStream(rows.length / 2 + 128);
    out.writeBytes(SIGNATURE);
    byte[] header =
        ByteBuffer.allocate(13)
            .putInt(width)
            .putInt(height)
            .put((byte) 8)
            .put((byte) type)
            .put(new byte[3])
            .array();
    chunk(out, "IHDR", header, header.length);
    Deflater deflater = new Deflater(LEVEL);
    byte[] packed = new byte[rows.length + rows.length / 100 + 64];
    int length;
    try {
      deflater.setInput(rows);
      deflater.finish();
      length = deflater.deflate(packed);
    } finally {
      deflater.end();
    }
    chunk(out, "IDAT", packed, length);
    chunk(out, "IEND", packed, 0);
    return out.toByteArray();
  }

  private static void chunk(ByteArrayOutputStream out, String name, byte[] content, int length) {
    byte[] type = name.getBytes(StandardCharsets.US_ASCII);
    CRC32 crc = new CRC32();
    crc.update(type);
    crc.update(content, 0, length);
    out.writeBytes(ByteBuffer.allocate(4).putInt(length).array());
    out.writeBytes(type);
    out.write(content, 0, length);
    out.writeBytes(ByteBuffer.allocate(4).putInt((int) crc.getValue()).array());
  }
}
