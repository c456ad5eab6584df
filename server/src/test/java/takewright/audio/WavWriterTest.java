package takewright.audio;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class WavWriterTest {
  @TempDir Path folder;

  @Test
  void whatWasWrittenIsReadBack() throws IOException {
    WavChunks chunks =
        new WavChunks(
            new WavChunks.Sampler(61, 25, List.of(new WavChunks.Loop(1, 3))),
            new WavChunks.Instrument(61, -25, 0, 60, 62, 1, 100),
            new WavChunks.Broadcast("a take", "takewright", "ref", "2026-01-02", "03:04:05", 99));
    float[] left = {0, 0.5f, -0.25f, 1, -1};
    float[] right = {0.125f, 0, 0, -0.5f, 0};
    Path file = folder.resolve("a.wav");
    for (int bits : new int[] {16, 24, 32}) {
      WavWriter.write(file, Clip.of(44_100, left, right), bits, chunks);
      try (AudioFile audio = AudioFile.open(file)) {
        assertEquals(5, audio.frames());
        assertEquals(44_100, audio.sampleRate());
        assertEquals(bits, audio.bitDepth());
        assertEquals(chunks, audio.chunks());
        Clip clip = Clip.read(audio, 10);
        float top = (float) (1 - Math.scalb(1.0, 1 - bits));
        assertArrayEquals(new float[] {0, 0.5f, -0.25f, top, -1}, clip.channel(0));
        assertArrayEquals(right, clip.channel(1));
      }
      try (var files = Files.list(folder)) {
        assertEquals(List.of(file), files.toList(), "nothing but the file is left");
      }
    }
  }
}
