package takewright.audio.marker;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.util.ArrayList;
import java.util.List;
import takewright.audio.BadAudioException;
import takewright.audio.FileBytes;
import takewright.audio.PcmLayout;
import takewright.audio.WavHeader;

/**
 * Where the chunks of a WAV file lie, in their order.
 *
 * @param form RIFF, RF64 or BW64
 * @param layout the audio
 * @param list all chunks that are whole; of the audio only the whole frames
 */
record RiffChunks(String form, PcmLayout layout, List<Chunk> list) {
  /**
   * A chunk.
   *
   * @param id its four characters
   * @param start position of its content, in bytes
   * @param size bytes of its content, without the pad byte
   */
  record Chunk(String id, long start, long size) {}

  /**
   * Finds them.
   *
   * @throws BadAudioException if the file is not a WAV file that can be read
   */
  static RiffChunks of(FileBytes bytes) throws IOException {
    String form = bytes.size() < 12 ? "" : bytes.tag(0);
    if (!form.equals("RIFF") && !form.equals("RF64") && !form.equals("BW64")) {
      throw bytes.bad("is not a WAV file, and only these have markers", "export it as WAV");
    }
    PcmLayout layout = WavHeader.read(bytes);
    List<Chunk> chunks = new ArrayList<>();
    long at = 12;
    while (bytes.has(at, 8)) {
      ByteBuffer head = bytes.read(at, 8, ByteOrder.LITTLE_ENDIAN);
      String id = FileBytes.tag(head);
      long size = Integer.toUnsignedLong(head.getInt());
      if (at + 8 == layout.start()) {
        size = layout.frames() * layout.frameBytes();
      } else if (!bytes.has(at + 8, size)) {
        break; // garbage after the audio does no harm
      }
      chunks.add(new Chunk(id, at + 8, size));
      at += 8 + size + (size & 1);
    }
    return new RiffChunks(form, layout, chunks);
  }
}
