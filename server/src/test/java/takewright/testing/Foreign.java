package takewright.testing;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;

/** Files as a recorder or a person makes them, which Takewright must not take for its own. */
public final class Foreign {
  /** The chunk that ends each file of Takewright's own. */
  private static final int MARK_BYTES = 20;

  private Foreign() {}

  /** A WAV file without Takewright's mark. */
  public static void wav(Path file, Clip clip) throws IOException {
    WavWriter.write(file, clip, 24, WavChunks.NONE);
    byte[] bytes = Files.readAllBytes(file);
    byte[] bare = Arrays.copyOf(bytes, bytes.length - MARK_BYTES);
    ByteBuffer.wrap(bare).order(ByteOrder.LITTLE_ENDIAN).putInt(4, bare.length - 8);
    Files.write(file, bare);
  }
}
