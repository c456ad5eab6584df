package takewright.audio;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Random;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Files made by SoX and FFmpeg are read to the very samples the same tool reads from them. */
class ReferenceFilesTest {
  @TempDir static Path folder;

  /** More than one block of the reader and of FLAC, and an odd number. */
  private static final int FRAMES = 70_001;

  private static Path source;

  @BeforeAll
  static void makeSource() throws IOException {
    // Three sines a channel and some noise, so that predictors and mid-side coding have work to do.
    float[][] planar = new float[2][FRAMES];
    Random random = new Random(1);
    for (int i = 0; i < FRAMES; i++) {
      double t = i / 48_000.0;
      double sound = 0.3 * Math.sin(2 * Math.PI * 440 * t) + 0.2 * Math.sin(2 * Math.PI * 97 * t);
      planar[0][i] = (float) (sound + 0.01 * random.nextGaussian());
      planar[1][i] = (float) (0.8 * sound + 0.001 * random.nextGaussian());
    }
    planar[0][10] = 1;
    planar[0][11] = -1;
    source = folder.resolve("source.wav");
    WavWriter.write(source, Clip.of(48_000, planar), 32, WavChunks.NONE);
  }

  @ParameterizedTest
  @CsvSource({
    "wav, -b 8 -e unsigned-integer, WAV, 8, false",
    "wav, -b 16, WAV, 16, false",
    "wav, -b 24, WAV, 24, false",
    "wav, -b 32 -e signed-integer, WAV, 32, false",
    "wav, -b 32 -e floating-point, WAV, 32, true",
    "wav, -b 64 -e floating-point, WAV, 64, true",
    "aiff, -b 8, AIFF, 8, false",
    "aiff, -b 16, AIFF, 16, false",
    "aiff, -b 24, AIFF, 24, false",
    "aiff, -b 32, AIFF, 32, false",
    "aifc, -b 16, AIFF-C, 16, false",
    "aifc, -b 24, AIFF-C, 24, false",
    "flac, -b 8, FLAC, 8, false",
    "flac, -b 16, FLAC, 16, false",
    "flac, -b 24, FLAC, 24, false",
    "flac, -b 24 -C 0, FLAC, 24, false",
    "flac, -b 24 -C 8, FLAC, 24, false",
  })
  void soxFiles(String type, String options, String container, int bits, boolean floating)
      throws IOException {
    Path file = folder.resolve("sox." + type);
    Path raw = folder.resolve("sox.raw");
    Tools.run("bash", "-c", "exec sox -D '" + source + "' " + options + " '" + file + "'");
    Tools.run("sox", "-D", file, "-t", "raw", "-L", "-b", "64", "-e", "floating-point", raw);
    check(file, container, bits, floating, doubles(raw));
  }

  @ParameterizedTest
  @CsvSource({
    "wav, pcm_u8, WAV, 8, false",
    "wav, pcm_s16le, WAV, 16, false",
    "wav, pcm_s24le, WAV, 24, false",
    "wav, pcm_s32le, WAV, 32, false",
    "wav, pcm_f32le, WAV, 32, true",
    "wav, pcm_f64le, WAV, 64, true",
    "wav, pcm_s24le -rf64 always, RF64, 24, false",
    "aiff, pcm_s16be, AIFF, 16, false",
    "aiff, pcm_s24be, AIFF, 24, false",
    "aiff, pcm_s16le, AIFF-C, 16, false",
    "aiff, pcm_f32be, AIFF-C, 32, true",
    "aiff, pcm_f64be, AIFF-C, 64, true",
    "flac, flac -sample_fmt s16, FLAC, 16, false",
    "flac, flac -sample_fmt s32 -bits_per_raw_sample 24, FLAC, 24, false",
    "flac, flac -sample_fmt s32 -bits_per_raw_sample 24 -compression_level 12, FLAC, 24, false",
  })
  void ffmpegFiles(String type, String codec, String container, int bits, boolean floating)
      throws IOException {
    Path file = folder.resolve("ff." + type);
    Path raw = folder.resolve("ff.raw");
    Tools.run(
        "bash",
        "-c",
        "exec ffmpeg -v error -y -i '" + source + "' -c:a " + codec + " '" + file + "'");
    Tools.run("ffmpeg", "-v", "error", "-y", "-i", file, "-f", "f64le", raw);
    check(file, container, bits, floating, doubles(raw));
  }

  @ParameterizedTest
  @CsvSource({"wav, pcm_s24le", "flac, flac"})
  void filesThatCameThroughAPipe(String type, String codec) throws IOException {
    Path file = folder.resolve("pipe." + type);
    Path raw = folder.resolve("pipe.raw");
    Tools.run(
        "bash",
        "-c",
        "ffmpeg -v error -i '"
            + source
            + "' -c:a "
            + codec
            + " -f "
            + type
            + " - | cat > '"
            + file
            + "'");
    Tools.run("ffmpeg", "-v", "error", "-y", "-i", file, "-f", "f64le", raw);
    check(file, type.equals("wav") ? "WAV" : "FLAC", 24, false, doubles(raw));
  }

  @ParameterizedTest
  @CsvSource({"wav", "flac"})
  void soxFilesThatCameThroughAPipe(String type) throws IOException {
    Path file = folder.resolve("pipe." + type);
    Path raw = folder.resolve("pipe.raw");
    Tools.run("bash", "-c", "sox '" + source + "' -b 24 -t " + type + " - | cat > '" + file + "'");
    Tools.run("ffmpeg", "-v", "error", "-y", "-i", file, "-f", "f64le", raw);
    check(file, type.equals("wav") ? "WAV" : "FLAC", 24, false, doubles(raw));
  }

  private static void check(
      Path file, String container, int bits, boolean floating, double[] expected)
      throws IOException {
    try (AudioFile audio = AudioFile.open(file)) {
      assertEquals(container, audio.container());
      assertEquals(bits, audio.bitDepth());
      assertEquals(floating, audio.floatingPoint());
      assertEquals(48_000, audio.sampleRate());
      assertEquals(2, audio.channels());
      assertEquals(FRAMES, audio.frames());
      Clip clip = Clip.read(audio, FRAMES + 1);
      assertEquals(FRAMES, clip.frames());
      assertArrayEquals(channel(expected, 0), clip.channel(0));
      assertArrayEquals(channel(expected, 1), clip.channel(1));
      Random random = new Random(2);
      for (int i = 0; i < 30; i++) {
        int frame = random.nextInt(FRAMES + 1);
        audio.seek(frame);
        Clip part = Clip.read(audio, 100);
        assertEquals(Math.min(100, FRAMES - frame), part.frames());
        Clip same = clip.slice(frame, frame + part.frames());
        assertArrayEquals(same.channel(0), part.channel(0));
        assertArrayEquals(same.channel(1), part.channel(1));
      }
      audio.seek(FRAMES);
      assertEquals(-1, audio.read(new float[2][1], 0, 1));
    }
  }

  private static float[] channel(double[] interleaved, int channel) {
    assertTrue(interleaved.length == 2 * FRAMES, "the tool reads " + interleaved.length);
    float[] one = new float[FRAMES];
    for (int i = 0; i < FRAMES; i++) {
      one[i] = (float) interleaved[2 * i + channel];
    }
    return one;
  }

  private static double[] doubles(Path raw) throws IOException {
    ByteBuffer bytes = ByteBuffer.wrap(Files.readAllBytes(raw)).order(ByteOrder.LITTLE_ENDIAN);
    double[] values = new double[bytes.remaining() / 8];
    bytes.asDoubleBuffer().get(values);
    return values;
  }
}
