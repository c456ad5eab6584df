package takewright.audio;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.write.WavWriter;

/** {@code inst} chunks as other programs write them. */
class InstrumentOfOthersTest {
  @TempDir Path folder;

  /**
   * The RIFF update of 1994 lets velocities of {@code inst} begin at 0. A note-on of velocity 0 is
   * a note-off (MIDI 1.0, 4.2.2), so that means 1.
   */
  @Test
  void aRangeFromVelocityZeroIsRead() throws IOException {
    Path file = folder.resolve("a.wav");
    WavChunks chunks =
        new WavChunks(
            new WavChunks.Sampler(60, 0, List.of()),
            new WavChunks.Instrument(60, 0, 0, 58, 62, 1, 100),
            null);
    WavWriter.write(file, Clip.of(48_000, new float[100]), 24, chunks);
    byte[] bytes = Files.readAllBytes(file);
    int at = new String(bytes, StandardCharsets.ISO_8859_1).indexOf("inst") + 8;
    assertEquals(1, bytes[at + 5]);
    bytes[at + 5] = 0;
    Files.write(file, bytes);
    try (AudioFile audio = AudioFile.open(file)) {
      WavChunks.Instrument read = audio.chunks().instrument();
      assertNotNull(read);
      assertEquals(1, read.lowVelocity());
      assertEquals(100, read.highVelocity());
      assertEquals(58, read.lowNote());
    }
  }
}
