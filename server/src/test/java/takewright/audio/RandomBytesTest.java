package takewright.audio;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.lifecycle.AfterContainer;
import net.jqwik.api.lifecycle.BeforeContainer;
import takewright.audio.write.WavWriter;

/** Whatever bytes a file holds, reading it ends, with audio or an IOException. */
class RandomBytesTest {
  private static Path folder;
  private static List<byte[]> good;

  @BeforeContainer
  static void makeGoodFiles() throws IOException {
    folder = Files.createTempDirectory("bytes");
    WavChunks chunks =
        new WavChunks(
            new WavChunks.Sampler(60, 0, List.of(new WavChunks.SampleLoop(0, 9))),
            new WavChunks.Instrument(60, 0, 0, 0, 127, 1, 127),
            new WavChunks.Broadcast("", "", "", "", "", 0));
    Path file = folder.resolve("good.wav");
    Clip clip = Clip.of(48_000, new float[50], new float[50], new float[50]);
    WavWriter.write(file, clip, 24, chunks);
    byte[] wav = Files.readAllBytes(file);
    try (WavWriter writer = WavWriter.create(file, 48_000, 1, 16, WavChunks.NONE, 0)) {
      writer.append(new float[1][50], 0, 50);
      writer.commit();
    }
    byte[] rf64 = Files.readAllBytes(file);
    good = List.of(wav, rf64, aiff(), FlacSamples.small());
  }

  @AfterContainer
  static void deleteFiles() throws IOException {
    try (var files = Files.list(folder)) {
      for (Path file : files.toList()) {
        Files.delete(file);
      }
    }
    Files.delete(folder);
  }

  private static byte[] aiff() {
    ByteBuffer aiff = ByteBuffer.allocate(12 + 32 + 16 + 400);
    aiff.put("FORM".getBytes(StandardCharsets.US_ASCII)).putInt(aiff.capacity() - 8);
    aiff.put("AIFCCOMM".getBytes(StandardCharsets.US_ASCII)).putInt(24);
    aiff.putShort((short) 2).putInt(50).putShort((short) 32);
    aiff.putShort((short) 0x400E).putLong(0xBB80_0000_0000_0000L);
    aiff.put("fl32".getBytes(StandardCharsets.US_ASCII)).putShort((short) 0);
    aiff.put("SSND".getBytes(StandardCharsets.US_ASCII)).putInt(408).putLong(0);
    return aiff.array();
  }

  @Property(tries = 1000)
  void changedBytes(
      @ForAll @IntRange(max = 3) int which,
      @ForAll long seed,
      @ForAll @IntRange(min = 1, max = 12) int changes)
      throws IOException {
    Random random = new Random(seed);
    byte[] bytes = good.get(which).clone();
    ByteBuffer view = ByteBuffer.wrap(bytes);
    for (int i = 0; i < changes; i++) {
      // Mostly in the head, where the claims stand.
      int at = random.nextInt(random.nextInt(4) == 0 ? bytes.length - 4 : 120);
      switch (random.nextInt(3)) {
        case 0 -> bytes[at] = (byte) random.nextInt();
        case 1 -> bytes[at] ^= (byte) (1 << random.nextInt(8));
        default -> {
          int[] extremes = {0, -1, -2, 1, Integer.MAX_VALUE, Integer.MIN_VALUE};
          view.order(random.nextBoolean() ? ByteOrder.BIG_ENDIAN : ByteOrder.LITTLE_ENDIAN);
          view.putInt(at, extremes[random.nextInt(extremes.length)]);
        }
      }
    }
    readAll(random.nextInt(3) == 0 ? Arrays.copyOf(bytes, random.nextInt(bytes.length)) : bytes);
  }

  @Property(tries = 200)
  void bytesWithoutSense(@ForAll @IntRange(max = 4) int start, @ForAll byte[] rest)
      throws IOException {
    String[] starts = {"", "RIFF1234WAVE", "RF641234WAVE", "FORM1234AIFF", "fLaC"};
    byte[] first = starts[start].getBytes(StandardCharsets.US_ASCII);
    byte[] bytes = Arrays.copyOf(first, first.length + rest.length);
    System.arraycopy(rest, 0, bytes, first.length, rest.length);
    readAll(bytes);
  }

  private static void readAll(byte[] bytes) throws IOException {
    Path file = Files.write(folder.resolve("any"), bytes);
    try (AudioFile audio = AudioFile.open(file)) {
      float[][] planar = new float[audio.channels()][1000];
      while (audio.read(planar, 0, 1000) > 0) {}
      audio.seek(audio.frames() / 2);
      audio.read(planar, 0, 1000);
    } catch (IOException e) {
      if (e.getMessage() == null || !e.getMessage().startsWith(file.toString())) {
        throw new AssertionError("does not name the file: " + e, e);
      }
    }
  }
}
