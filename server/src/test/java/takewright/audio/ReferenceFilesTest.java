package takewright.audio;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.write.WavWriter;

/** Files made by SoX and FFmpeg are read to the very samples that FFmpeg reads from them. */
class ReferenceFilesTest {
  @TempDir static Path folder;

  /** More than one block of the reader and of FLAC, and an odd number. */
  private static final int FRAMES = 70_001;

  private static void makeSource() throws IOException {
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
    WavWriter.write(folder.resolve("source.wav"), Clip.of(48_000, planar), 32, WavChunks.NONE);
  }

  /** How each file is made: name; SoX or FFmpeg options; container, bits, float. */
  private static final String[] FILES = {
    "sox-u8.wav; -b 8 -e unsigned-integer; WAV, 8, false",
    "sox-16.wav; -b 16; WAV, 16, false",
    "sox-24.wav; -b 24; WAV, 24, false",
    "sox-32.wav; -b 32 -e signed-integer; WAV, 32, false",
    "sox-f32.wav; -b 32 -e floating-point; WAV, 32, true",
    "sox-f64.wav; -b 64 -e floating-point; WAV, 64, true",
    "sox-pipe.wav; -b 24 -t wav - | cat >; WAV, 24, false",
    "sox-8.aiff; -b 8; AIFF, 8, false",
    "sox-16.aiff; -b 16; AIFF, 16, false",
    "sox-24.aiff; -b 24; AIFF, 24, false",
    "sox-32.aiff; -b 32; AIFF, 32, false",
    "sox-16.aifc; -b 16; AIFF-C, 16, false",
    "sox-24.aifc; -b 24; AIFF-C, 24, false",
    "sox-8.flac; -b 8; FLAC, 8, false",
    "sox-16.flac; -b 16; FLAC, 16, false",
    "sox-24.flac; -b 24; FLAC, 24, false",
    "sox-24-fixed.flac; -b 24 -C 0; FLAC, 24, false",
    "sox-pipe.flac; -b 24 -t flac - | cat >; FLAC, 24, false",
    "ff-u8.wav; pcm_u8; WAV, 8, false",
    "ff-16.wav; pcm_s16le; WAV, 16, false",
    "ff-24.wav; pcm_s24le; WAV, 24, false",
    "ff-32.wav; pcm_s32le; WAV, 32, false",
    "ff-f32.wav; pcm_f32le; WAV, 32, true",
    "ff-f64.wav; pcm_f64le; WAV, 64, true",
    "ff-rf64.wav; pcm_s24le -rf64 always; RF64, 24, false",
    "ff-16.aiff; pcm_s16be; AIFF, 16, false",
    "ff-24.aiff; pcm_s24be; AIFF, 24, false",
    "ff-sowt.aiff; pcm_s16le; AIFF-C, 16, false",
    "ff-f32.aiff; pcm_f32be; AIFF-C, 32, true",
    "ff-f64.aiff; pcm_f64be; AIFF-C, 64, true",
    "ff-16.flac; flac -sample_fmt s16; FLAC, 16, false",
    "ff-24.flac; flac -sample_fmt s32 -bits_per_raw_sample 24; FLAC, 24, false",
    "ff-24-12.flac; flac -sample_fmt s32 -bits_per_raw_sample 24 -compression_level 12;"
        + " FLAC, 24, false",
    "ff-pipe.wav; -f wav; WAV, 16, false",
    "ff-pipe.aiff; -f aiff; AIFF, 16, false",
    "ff-pipe.flac; -f flac -sample_fmt s32; FLAC, 24, false",
  };

  static List<Arguments> files() {
    return Arrays.stream(FILES)
        .map(line -> line.split("; "))
        .map(
            part -> {
              String[] facts = part[2].split(", ");
              return Arguments.of(
                  part[0], facts[0], Integer.parseInt(facts[1]), Boolean.parseBoolean(facts[2]));
            })
        .toList();
  }

  /** Few processes that make many files each: starting them is what takes time. */
  @BeforeAll
  static void makeFiles() throws IOException {
    makeSource();
    StringBuilder sox = new StringBuilder("cd '" + folder + "'");
    StringBuilder make = new StringBuilder("cd '" + folder + "'; ffmpeg -v error -i source.wav");
    StringBuilder pipes = new StringBuilder();
    StringBuilder inputs = new StringBuilder("cd '" + folder + "'; exec ffmpeg -v error");
    StringBuilder outputs = new StringBuilder();
    int index = 0;
    for (String line : FILES) {
      String[] part = line.split("; ");
      if (part[0].startsWith("sox")) {
        sox.append("; sox -V1 -D source.wav " + part[1] + " " + part[0]);
      } else if (part[0].startsWith("ff-pipe")) {
        pipes.append("; ffmpeg -v error -i source.wav " + part[1] + " pipe:1 | cat > " + part[0]);
      } else {
        make.append(" -c:a " + part[1] + " " + part[0]);
      }
      // What SoX wrote through a pipe has sizes in it that only SoX understands.
      if (part[0].equals("sox-pipe.wav")) {
        sox.append("; sox -V1 sox-pipe.wav -e floating-point -b 64 -L sox-pipe-again.wav");
        inputs.append(" -i sox-pipe-again.wav");
      } else if (part[0].equals("ff-pipe.aiff")) {
        inputs.append(" -i ff-16.aiff");
      } else {
        inputs.append(" -i " + part[0]);
      }
      outputs.append(" -map " + index++ + " -f f64le " + part[0] + ".raw");
    }
    Tools.run("bash", "-c", sox.toString());
    Tools.run("bash", "-c", make.toString() + pipes);
    Tools.run("bash", "-c", inputs.toString() + outputs);
  }

  @ParameterizedTest
  @MethodSource("files")
  void areReadToTheSample(String name, String container, int bits, boolean floating)
      throws IOException {
    check(folder.resolve(name), container, bits, floating, doubles(folder.resolve(name + ".raw")));
  }

  /** Positions of the blocks by ffprobe, made into a seek table (RFC 9639, 8.5). */
  @ParameterizedTest
  @ValueSource(ints = {0, 7})
  void theSeekTableIsUsedOnlyAsFarAsItIsTrue(int shift) throws IOException {
    Path file = folder.resolve("ff-24.flac");
    String blocks =
        Tools.run(
            "ffprobe", "-v", "error", "-show_entries", "packet=pts,pos", "-of", "csv=p=0", file);
    byte[] flac = Files.readAllBytes(file);
    ByteBuffer table = ByteBuffer.allocate(18 * 1000);
    long first = -1;
    for (String block : blocks.split("\\s+")) {
      long pts = Long.parseLong(block.split(",")[0]);
      long position = Long.parseLong(block.split(",")[1]);
      first = first < 0 ? position : first;
      table.putLong(pts).putLong(position - first + shift).putShort((short) 4096);
    }
    int size = table.position();
    ByteBuffer whole = ByteBuffer.allocate(42 + 4 + size + flac.length - (int) first);
    whole.put(flac, 0, 4 + 4 + 34).put(4, (byte) 0);
    whole.putInt(0x8300_0000 | size).put(table.array(), 0, size);
    whole.put(flac, (int) first, flac.length - (int) first);
    Path with = folder.resolve("table.flac");
    Files.write(with, whole.array());
    float[] expected = channel(doubles(folder.resolve("ff-24.flac.raw")), 1);
    for (int frame : new int[] {60_000, 4096, 4095, 0, FRAMES - 5, 20_000}) {
      try (AudioFile audio = AudioFile.open(with)) {
        audio.seek(frame);
        Clip part = Clip.read(audio, 5000);
        assertArrayEquals(
            Arrays.copyOfRange(expected, frame, Math.min(FRAMES, frame + 5000)), part.channel(1));
      }
    }
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
