package takewright.report;

import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;

/**
 * A sound as a small WAV file in memory (RIFF, {@code fmt } and {@code data}): one channel, 16-bit
 * integers, for hearing and not for keeping.
 */
final class SoundBytes {
  private static final int HEADER = 44;

  private SoundBytes() {}

  /**
   * The file's bytes.
   *
   * @param gain factor on each sample; what then is above full scale is cut
   */
  static byte[] wav(float[] x, int frames, int sampleRate, double gain) {
    ByteBuffer out = ByteBuffer.allocate(HEADER + 2 * frames).order(ByteOrder.LITTLE_ENDIAN);
    out.put("RIFF".getBytes(StandardCharsets.US_ASCII)).putInt(HEADER - 8 + 2 * frames);
    out.put("WAVEfmt ".getBytes(StandardCharsets.US_ASCII)).putInt(16);
    out.putShort((short) 1).putShort((short) 1).putInt(sampleRate).putInt(2 * sampleRate);
    out.putShort((short) 2).putShort((short) 16);
    out.put("data".getBytes(StandardCharsets.US_ASCII)).putInt(2 * frames);
    byte[] bytes = out.array();
    // Byte by byte: a buffer that counts along takes several times as long.
    for (int i = 0, at = HEADER; i < frames; i++, at += 2) {
      double y = Math.rint(32767 * gain * x[i]);
      int value = (int) Math.max(-32768, Math.min(32767, y));
      bytes[at] = (byte) value;
      bytes[at + 1] = (byte) (value >> 8);
    }
    return bytes;
  }
}
