package takewright.audio.write;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.BadAudioException;
import takewright.audio.Clip;
import takewright.audio.WavChunks;

class WavKeysTest {
  private static final WavChunks.Sampler SAMPLER =
      new WavChunks.Sampler(60, 12.5, List.of(new WavChunks.SampleLoop(100, 300)));
  private static final WavChunks.Broadcast BROADCAST =
      new WavChunks.Broadcast("inst smpl", "takewright", "", "", "", 0);
  private static final WavChunks.Instrument KEYS =
      new WavChunks.Instrument(57, -3, -6, 55, 59, 64, 127);

  @TempDir Path folder;

  private static float[] noise() {
    float[] x = new float[999];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.3 * Math.sin(i * i));
    }
    return x;
  }

  private static WavChunks chunks(Path file) throws IOException {
    try (AudioFile audio = AudioFile.open(file)) {
      return audio.chunks();
    }
  }

  @Test
  void onlyTheKeysChange() throws IOException {
    Path file = folder.resolve("a.wav");
    WavChunks.Instrument before = new WavChunks.Instrument(60, 0, 0, 60, 60, 1, 127);
    // 24 bits and an odd number of frames: the data end with a pad byte.
    WavWriter.write(file, Clip.of(48_000, noise()), 24, new WavChunks(SAMPLER, before, BROADCAST));
    assertTrue(WavKeys.set(file, KEYS));
    WavChunks after = chunks(file);
    assertEquals(KEYS, after.instrument());
    assertEquals(new WavChunks.Sampler(57, 12.5, SAMPLER.loops()), after.sampler());
    assertEquals(BROADCAST, after.broadcast());
    Path wanted = folder.resolve("b.wav");
    WavWriter.write(
        wanted,
        Clip.of(48_000, noise()),
        24,
        new WavChunks(new WavChunks.Sampler(57, 12.5, SAMPLER.loops()), KEYS, BROADCAST));
    assertArrayEquals(Files.readAllBytes(wanted), Files.readAllBytes(file));
    assertFalse(WavKeys.set(file, KEYS), "nothing is left to change");
  }

  @Test
  void filesWithoutTheChunksStayAsTheyAre() throws IOException {
    Path file = folder.resolve("a.wav");
    WavWriter.write(file, Clip.of(48_000, noise()), 16, WavChunks.NONE);
    byte[] before = Files.readAllBytes(file);
    assertFalse(WavKeys.set(file, KEYS));
    assertArrayEquals(before, Files.readAllBytes(file));
    Path text = folder.resolve("a.txt");
    Files.writeString(text, "this is no audio file at all");
    assertThrows(BadAudioException.class, () -> WavKeys.set(text, KEYS));
  }
}
