package takewright.audio.write;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import java.util.regex.Pattern;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.FloatRange;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.Tools;
import takewright.audio.WavChunks;
import takewright.audio.original.AtomicFile;
import takewright.testing.Outside;

class WavWriterTest {
  private static final WavChunks CHUNKS =
      new WavChunks(
          new WavChunks.Sampler(61, 25, List.of(new WavChunks.SampleLoop(100, 300))),
          new WavChunks.Instrument(61, -25, 0, 60, 62, 1, 100),
          new WavChunks.Broadcast("a take", "takewright", "ref", "2026-01-02", "03:04:05", 99));

  @TempDir Path folder;

  private static float[][] noise(int channels, int frames, double level) {
    Random random = new Random(7);
    float[][] planar = new float[channels][frames];
    for (float[] channel : planar) {
      for (int i = 0; i < frames; i++) {
        channel[i] = (float) (level * (2 * random.nextDouble() - 1));
      }
    }
    return planar;
  }

  private List<Path> files() throws IOException {
    try (var files = Files.list(folder)) {
      return files.toList();
    }
  }

  @ParameterizedTest
  @CsvSource({"16", "24", "32"})
  void chunksAndSamplesAreReadBack(int bits) throws IOException {
    float[] left = {0, 0.5f, -0.25f, 1, -1, 3, -3};
    float[] right = {0.125f, 0, 0, -0.5f, 0, 0, 0};
    Path file = folder.resolve("a.wav");
    WavWriter.write(file, Clip.of(44_100, left, right), bits, CHUNKS);
    try (AudioFile audio = AudioFile.open(file)) {
      assertEquals(7, audio.frames());
      assertEquals(44_100, audio.sampleRate());
      assertEquals(bits, audio.bitDepth());
      assertEquals(CHUNKS, audio.chunks());
      Clip clip = Clip.read(audio, 10);
      float top = (float) (1 - Math.scalb(1.0, 1 - bits));
      assertArrayEquals(new float[] {0, 0.5f, -0.25f, top, -1, top, -1}, clip.channel(0));
      assertArrayEquals(right, clip.channel(1));
    }
    assertEquals(List.of(file), files(), "nothing but the file is left");
  }

  /** What libsndfile, SoX and FFmpeg say about our files. */
  @ParameterizedTest
  @CsvSource({
    "1, 16, RIFF",
    "1, 24, RIFF",
    "2, 16, RIFF",
    "2, 24, RIFF",
    "2, 32, RIFF",
    "6, 24, RIFF",
    "1, 16, RF64",
    "2, 24, RF64",
    "6, 24, RF64",
  })
  void referenceToolsAgree(int channels, int bits, String form) throws IOException {
    Path file = folder.resolve("a.wav");
    int frames = 1001;
    long largest = form.equals("RF64") ? 1000 : WavFormat.LARGEST_RIFF;
    float[][] planar = noise(channels, frames, 0.1);
    try (WavWriter writer = WavWriter.create(file, 44_100, channels, bits, CHUNKS, largest)) {
      writer.append(planar, 0, 500);
      writer.append(planar, 500, frames - 500);
      writer.commit();
    }
    String sndfile = Tools.run("sndfile-info", file);
    says(sndfile, "Sample Rate : 44100");
    says(sndfile, "Frames : " + frames);
    says(sndfile, "Channels : " + channels);
    says(sndfile, "Bit Width : " + bits);
    assertTrue(!sndfile.contains("****"), sndfile);
    if (form.equals("RIFF")) { // its reader of RF64 does not know smpl and inst
      says(sndfile, "Midi Note : 61");
      says(sndfile, "Pitch Fract. : 2.000000"); // it prints 2^31 over the field: 2^30, a quarter
      says(sndfile, "Type : 0 Start : 100 End : 300");
      says(sndfile, "Period : 22676 nsec");
      says(sndfile, "inst : 7");
    }
    String sox = Tools.run("sox", "--i", file);
    says(sox, "Channels : " + channels);
    says(sox, "Sample Rate : 44100");
    says(sox, "Precision : " + bits + "-bit");
    says(sox, "= " + frames + " samples");
    String ffprobe = Tools.run("ffprobe", "-v", "warning", "-show_streams", "-show_format", file);
    says(ffprobe, "channels=" + channels);
    says(ffprobe, "sample_rate=44100");
    says(ffprobe, "bits_per_sample=" + bits);
    says(ffprobe, "duration_ts=" + frames);
    says(ffprobe, "TAG:encoded_by=takewright");
    says(ffprobe, "TAG:time_reference=99");
    try (AudioFile audio = AudioFile.open(file)) {
      assertEquals(form.equals("RIFF") ? "WAV" : "RF64", audio.container());
      assertEquals(frames, audio.frames());
      assertEquals(CHUNKS, audio.chunks());
    }
  }

  private static void says(String text, String what) {
    String pattern = Pattern.quote(what).replace(" ", "\\E\\s*\\Q");
    assertTrue(Pattern.compile(pattern).matcher(text).find(), what + " not in: " + text);
  }

  @Property(tries = 100)
  void samplesComeBackWithinAStep(
      @ForAll @Size(max = 50) List<@FloatRange(min = -1, max = 1) Float> samples,
      @ForAll @IntRange(min = 1, max = 3) int channels)
      throws IOException {
    Path made = Files.createTempDirectory("wav");
    Path file = made.resolve("a.wav");
    float[][] planar = new float[channels][samples.size()];
    for (int i = 0; i < samples.size(); i++) {
      planar[i % channels][i] = samples.get(i);
    }
    for (int bits : new int[] {16, 24, 32}) {
      WavWriter.write(file, Clip.of(96_000, planar), bits, WavChunks.NONE);
      double step = Math.scalb(1.0, 1 - bits);
      // Half a step of rounding and, below 32 bits, up to one of dither; at 1.0 full scale stops
      // a step short. Reading 32 bits into a float rounds once more.
      double most = bits == 32 ? 0x1p-25 : 1.5 * step;
      try (AudioFile audio = AudioFile.open(file)) {
        Clip clip = Clip.read(audio, 100);
        assertEquals(samples.size(), clip.frames());
        for (int c = 0; c < channels; c++) {
          for (int i = 0; i < samples.size(); i++) {
            assertEquals(planar[c][i], clip.channel(c)[i], most);
          }
        }
      }
    }
    Files.delete(file);
    Files.delete(made);
  }

  /** Audio that is only cut keeps every bit. */
  @ParameterizedTest
  @CsvSource({"16", "24"})
  void samplesOnAStepStayAsTheyAre(int bits) throws IOException {
    float[][] planar = noise(2, 5000, 0.9);
    double scale = Math.scalb(1.0, bits - 1);
    for (float[] channel : planar) {
      for (int i = 0; i < channel.length; i++) {
        channel[i] = (float) (Math.rint(channel[i] * scale) / scale);
      }
    }
    Arrays.fill(planar[0], 1000, 2000, 0); // digital silence
    Path file = folder.resolve("a.wav");
    WavWriter.write(file, Clip.of(48_000, planar), bits, WavChunks.NONE);
    try (AudioFile audio = AudioFile.open(file)) {
      Clip clip = Clip.read(audio, 5000);
      assertArrayEquals(planar[0], clip.channel(0));
      assertArrayEquals(planar[1], clip.channel(1));
    }
  }

  @Test
  void theSameAudioGivesTheSameBytesHoweverItIsHandedOver() throws IOException {
    float[][] planar = noise(2, 20_000, 0.5);
    Path whole = folder.resolve("whole.wav");
    Path parts = folder.resolve("parts.wav");
    try (WavWriter writer = WavWriter.create(whole, 48_000, 2, 16, WavChunks.NONE)) {
      writer.append(planar, 0, 20_000);
      writer.commit();
    }
    try (WavWriter writer = WavWriter.create(parts, 48_000, 2, 16, WavChunks.NONE)) {
      int at = 0;
      for (int n = 1; at < 20_000; n = Math.min(3 * n, 20_000 - at)) {
        writer.append(planar, at, n);
        at += n;
      }
      writer.commit();
    }
    assertEquals(-1, Files.mismatch(whole, parts));
  }

  @Test
  void withoutACommitNothingStays() throws IOException {
    Path file = folder.resolve("a.wav");
    WavWriter.write(file, Clip.of(48_000, new float[100]), 24, CHUNKS);
    byte[] before = Files.readAllBytes(file);
    try (WavWriter writer = WavWriter.create(file, 48_000, 1, 24, CHUNKS)) {
      writer.append(noise(1, 10_000, 0.5), 0, 10_000);
      assertEquals(2, files().size());
    }
    assertEquals(List.of(file), files());
    assertArrayEquals(before, Files.readAllBytes(file));
  }

  @Test
  void whatCannotBeWrittenIsRefused() throws IOException {
    Path file = folder.resolve("a.wav");
    Path lost = folder.resolve("no such folder").resolve("a.wav");
    NoSuchFileException e =
        assertThrows(
            NoSuchFileException.class, () -> WavWriter.create(lost, 48_000, 1, 24, CHUNKS));
    assertTrue(e.getMessage().contains("no such folder"), e.getMessage());
    for (int[] bad : new int[][] {{0, 1, 24}, {48_000, 0, 24}, {48_000, 33, 24}, {48_000, 1, 20}}) {
      assertThrows(
          IllegalArgumentException.class,
          () -> WavWriter.create(file, bad[0], bad[1], bad[2], CHUNKS));
    }
    for (int bits : new int[] {16, 24, 32}) {
      Clip clip = Clip.of(48_000, new float[] {0, 0.3f, Float.NaN, 0});
      assertThrows(IllegalArgumentException.class, () -> WavWriter.write(file, clip, bits, CHUNKS));
    }
    assertEquals(List.of(), files());
  }

  @Test
  void anAtomicFileIsThereWholeOrNotAtAll() throws IOException {
    Path file = folder.resolve("index.csv");
    AtomicFile.write(file, new byte[] {1, 2, 3});
    AtomicFile.replace(file, new byte[] {4, 5});
    assertArrayEquals(new byte[] {4, 5}, Files.readAllBytes(file));
    Path taken = Files.createDirectory(folder.resolve("taken"));
    Path inside = Files.createFile(taken.resolve("inside"));
    assertThrows(IOException.class, () -> AtomicFile.replace(taken, new byte[10]));
    assertTrue(Files.exists(inside));
    assertEquals(2, files().size());
  }

  /** The shell's limit on file size stands in for a full disk. */
  @Test
  void aFullDiskLeavesNothing() throws IOException {
    Outside.tool("bash");
    String java = Path.of(System.getProperty("java.home"), "bin", "java").toString();
    String said =
        Tools.run(
            "bash",
            "-c",
            "ulimit -f 64; exec \"$0\" -XX:-UsePerfData -Xshare:auto -cp \"$1\" \"$2\" \"$3\"",
            java,
            System.getProperty("java.class.path"),
            FullDisk.class.getName(),
            folder.resolve("a.wav"));
    assertTrue(said.contains("full: "), said);
    assertEquals(List.of(), files());
  }

  /** Writes more than fits. */
  static final class FullDisk {
    private FullDisk() {}

    public static void main(String[] arguments) {
      Path file = Path.of(arguments[0]);
      try {
        WavWriter.write(file, Clip.of(48_000, new float[100_000]), 24, WavChunks.NONE);
      } catch (IOException e) {
        System.out.println("full: " + e.getMessage());
      }
      try {
        AtomicFile.write(file, new byte[300_000]);
        System.out.println("it fits");
      } catch (IOException e) {
        System.out.println("full: " + e.getMessage());
      }
    }
  }
}
