package takewright.audio.write;

import java.io.EOFException;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import takewright.audio.BadAudioException;
import takewright.audio.WavChunks;
import takewright.audio.original.CheckedFile;
import takewright.audio.original.WavMark;

/**
 * Sets the keys and velocities in the {@code smpl} and {@code inst} chunks of a WAV file that has
 * them, in place: eleven bytes change, and the audio is not touched.
 */
public final class WavKeys {
  /** Where the unity note lies in a {@code smpl} chunk. */
  private static final int UNITY_NOTE = 12;

  private WavKeys() {}

  /**
   * Sets them.
   *
   * @return whether anything was changed; false too where the file has no such chunks
   * @throws BadAudioException if the file is no WAV file
   */
  public static boolean set(Path file, WavChunks.Instrument keys) throws IOException {
    try (FileChannel channel =
        CheckedFile.open(file, StandardOpenOption.READ, StandardOpenOption.WRITE)) {
      ByteBuffer head = read(channel, 0, 12);
      String form = tag(head, 0);
      if (!(form.equals("RIFF") || form.equals("RF64")) || !tag(head, 8).equals("WAVE")) {
        throw new BadAudioException(file.toString(), "is not a WAV file", "give a WAV file");
      }
      boolean changed = false;
      long dataBytes = -1;
      for (long at = 12; at + 8 <= channel.size(); ) {
        ByteBuffer chunk = read(channel, at, 8);
        long size = chunk.getInt(4) & 0xFFFF_FFFFL;
        switch (tag(chunk, 0)) {
          case "ds64" -> dataBytes = read(channel, at + 16, 8).getLong(0);
          case "data" -> size = size == 0xFFFF_FFFFL ? dataBytes : size;
          case "smpl" ->
              changed |=
                  write(
                      channel,
                      at + 8 + UNITY_NOTE,
                      ByteBuffer.allocate(4)
                          .order(ByteOrder.LITTLE_ENDIAN)
                          .putInt(0, keys.unityNote()));
          case "inst" -> changed |= write(channel, at + 8, instrument(keys));
          default -> {
            // Not our chunks.
          }
        }
        if (size < 0 || size > channel.size()) {
          // A size of 64 bits is read as signed: one beyond that passes every file too.
          throw new BadAudioException(
              file.toString(), "is cut off or damaged", "build the sample again");
        }
        at += 8 + size + (size & 1);
      }
      if (changed) {
        WavMark.renew(channel);
        channel.force(false);
      }
      return changed;
    }
  }

  private static ByteBuffer instrument(WavChunks.Instrument keys) {
    return ByteBuffer.wrap(
        new byte[] {
          (byte) keys.unityNote(),
          (byte) keys.fineTuneCents(),
          (byte) keys.gainDb(),
          (byte) keys.lowNote(),
          (byte) keys.highNote(),
          (byte) keys.lowVelocity(),
          (byte) keys.highVelocity()
        });
  }

  private static boolean write(FileChannel channel, long at, ByteBuffer bytes) throws IOException {
    if (read(channel, at, bytes.capacity()).equals(bytes)) {
      return false;
    }
    channel.write(bytes, at);
    return true;
  }

  private static ByteBuffer read(FileChannel channel, long at, int count) throws IOException {
    ByteBuffer bytes = ByteBuffer.allocate(count).order(ByteOrder.LITTLE_ENDIAN);
    while (bytes.hasRemaining()) {
      if (channel.read(bytes, at + bytes.position()) < 0) {
        throw new EOFException("the file ends within a chunk");
      }
    }
    return bytes.flip();
  }

  private static String tag(ByteBuffer bytes, int at) {
    return new String(bytes.array(), at, 4, StandardCharsets.US_ASCII);
  }
}
