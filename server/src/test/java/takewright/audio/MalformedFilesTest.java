package takewright.audio;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Bad files: one clear line each. And files that only look bad. */
class MalformedFilesTest {
  @TempDir Path folder;

  /** A chunk whose head claims {@code size}. */
  private static byte[] chunk(String id, long size, byte... content) {
    return ByteBuffer.allocate(8 + content.length)
        .order(ByteOrder.LITTLE_ENDIAN)
        .put(id.getBytes(StandardCharsets.ISO_8859_1))
        .putInt((int) size)
        .put(content)
        .array();
  }

  private static byte[] format(int code, int channels, int rate, int frameBytes, int bits) {
    ByteBuffer fmt = ByteBuffer.allocate(16).order(ByteOrder.LITTLE_ENDIAN);
    fmt.putShort((short) code).putShort((short) channels).putInt(rate).putInt(0);
    fmt.putShort((short) frameBytes).putShort((short) bits);
    return chunk("fmt ", 16, fmt.array());
  }

  private static byte[] join(byte[]... parts) {
    int size = Arrays.stream(parts).mapToInt(part -> part.length).sum();
    ByteBuffer all = ByteBuffer.allocate(size);
    Arrays.stream(parts).forEach(all::put);
    return all.array();
  }

  private static byte[] riff(byte[]... chunks) {
    byte[] body = join(chunks);
    return join(chunk("RIFF", body.length + 4), "WAVE".getBytes(StandardCharsets.US_ASCII), body);
  }

  private Path file(byte[] content) throws IOException {
    return Files.write(folder.resolve("take.wav"), content);
  }

  private void refused(String saying, byte[] content) throws IOException {
    Path file = file(content);
    BadAudioException e =
        assertThrows(
            BadAudioException.class,
            () -> {
              try (AudioFile audio = AudioFile.open(file)) {
                Clip.read(audio, 100);
              }
            });
    assertTrue(e.getMessage().startsWith(file + ": "), e.getMessage());
    assertTrue(e.getMessage().contains(saying), e.getMessage());
    assertTrue(e.getMessage().contains("; "), "a remedy: " + e.getMessage());
    assertFalse(e.getMessage().contains("\n"), e.getMessage());
  }

  private Clip clip(byte[] content) throws IOException {
    try (AudioFile audio = AudioFile.open(file(content))) {
      return Clip.read(audio, 100);
    }
  }

  private static final byte[] STEREO_16 = format(1, 2, 48_000, 4, 16);

  @Test
  void filesThatAreNotAudio() throws IOException {
    refused("is empty", new byte[0]);
    refused("not a WAV", "R".getBytes(StandardCharsets.US_ASCII));
    refused("not a WAV", "These are notes of the session.".getBytes(StandardCharsets.US_ASCII));
    refused("not a WAV", new byte[1000]);
    refused("not a WAV file", join(chunk("RIFF", 4), "AVI ".getBytes(StandardCharsets.US_ASCII)));
    Path none = folder.resolve("none.wav");
    assertThrows(NoSuchFileException.class, () -> AudioFile.open(none));
    assertThrows(BadAudioException.class, () -> AudioFile.open(folder));
  }

  @Test
  void headersThatClaimTooMuch() throws IOException {
    refused("\"fmt \" claims 2147483648", riff(chunk("fmt ", 1L << 31, new byte[16])));
    refused("\"LIST\" claims 4294967295", riff(STEREO_16, chunk("LIST", 0xFFFF_FFFFL)));
    refused("0 channels", riff(format(1, 0, 48_000, 4, 16), chunk("data", 4, new byte[4])));
    refused("65535 channels", riff(format(1, 65_535, 48_000, 4, 16), chunk("data", 0)));
    refused("of 0 Hz", riff(format(1, 2, 0, 4, 16), chunk("data", 0)));
    refused("of 4294967295 Hz", riff(format(1, 2, -1, 4, 16), chunk("data", 0)));
    refused("0 bits", riff(format(1, 2, 48_000, 4, 0), chunk("data", 4, new byte[4])));
    refused("0 bytes a frame", riff(format(1, 2, 48_000, 0, 16), chunk("data", 4, new byte[4])));
    refused("64 bits", riff(format(1, 2, 48_000, 16, 64), chunk("data", 16, new byte[16])));
    refused("0x0055", riff(format(0x55, 2, 48_000, 1, 0), chunk("data", 4, new byte[4])));
    refused("fmt chunk is too short", riff(chunk("fmt ", 4, new byte[4])));
    refused("no fmt", riff(chunk("data", 4, new byte[4])));
    refused("no fmt", riff());
    refused("no data chunk", riff(STEREO_16));
    refused("more than 10000 chunks", riff(STEREO_16, new byte[8 * 10_001]));
  }

  @Test
  void filesThatAreCutOff() throws IOException {
    refused(
        "promises 400 bytes of audio and 40 are present",
        riff(STEREO_16, chunk("data", 400, new byte[40])));
    byte[] ds64 = new byte[28];
    ByteBuffer.wrap(ds64).order(ByteOrder.LITTLE_ENDIAN).putLong(Long.MAX_VALUE - 1).putLong(-2);
    byte[] rf64 = riff(chunk("ds64", 28, ds64), STEREO_16, chunk("data", -1, new byte[40]));
    rf64[2] = '6';
    rf64[3] = '4';
    rf64[0] = 'R';
    rf64[1] = 'F';
    refused("cut off", rf64);
    byte[] flac = FlacSamples.small();
    refused("cut off", Arrays.copyOf(flac, flac.length - 20));
    flac[200] ^= 1;
    refused("damaged at frame 0", flac);
  }

  /**
   * Of a length that is not known, and with rubbish at its end that looks like the beginning of a
   * block: jFLAC by itself never comes back from that.
   */
  @Test
  void aFlacThatEndsInABadBlockIsNotReadForEver() throws IOException {
    byte[] flac = FlacSamples.small();
    Arrays.fill(flac, 22, 26, (byte) 0);
    flac[21] &= (byte) 0xF0;
    refused("damaged at frame 480", join(flac, new byte[] {(byte) 0xFF, (byte) 0xFB}));
    refused("damaged at frame 480", join(flac, new byte[] {(byte) 0xFF, (byte) 0xFB, 0, 0, 0}));
  }

  @Test
  void recordingsThatWereNeverFinished() throws IOException {
    for (long size : new long[] {0, 0xFFFF_FFFFL}) {
      byte[] wav = riff(STEREO_16, chunk("data", size, new byte[40]));
      Arrays.fill(wav, 4, 8, (byte) 0);
      assertEquals(10, clip(wav).frames());
      byte[] broken = Arrays.copyOf(wav, wav.length - 1);
      refused("never completed", broken);
    }
    // Finished, and without audio.
    assertEquals(
        0, clip(riff(STEREO_16, chunk("data", 0), chunk("LIST", 4, new byte[4]))).frames());
  }

  @Test
  void chunksOfOddSizeAndUnknownNamesAreSteppedOver() throws IOException {
    byte[] odd = chunk("odd!", 3, new byte[4]);
    byte[] data = chunk("data", 6, (byte) 0, (byte) 64, (byte) 0, (byte) -64, (byte) 0, (byte) 32);
    byte[] mono = format(1, 1, 48_000, 2, 16);
    Clip clip = clip(riff(odd, mono, odd, data, odd, chunk("LIST", 99)));
    assertEquals(3, clip.frames());
    assertEquals(0.5f, clip.channel(0)[0]);
    assertEquals(-0.5f, clip.channel(0)[1]);
    assertEquals(0.25f, clip.channel(0)[2]);
  }

  @Test
  void samplesThatAreNoNumbers() throws IOException {
    byte[] fmt = format(3, 2, 48_000, 8, 32);
    for (float bad : new float[] {Float.NaN, Float.POSITIVE_INFINITY, Float.NEGATIVE_INFINITY}) {
      ByteBuffer data = ByteBuffer.allocate(80).order(ByteOrder.LITTLE_ENDIAN);
      data.putFloat(4 * 13, bad);
      refused("at frame 6 of channel 2", riff(fmt, chunk("data", 80, data.array())));
    }
    ByteBuffer huge = ByteBuffer.allocate(16).order(ByteOrder.LITTLE_ENDIAN).putDouble(8, 1e300);
    refused(
        "at frame 1 of channel 1",
        riff(format(3, 1, 48_000, 8, 64), chunk("data", 16, huge.array())));
  }

  @Test
  void chunksThatBreakTheirStandardAreLeftOut() throws IOException {
    byte[] smpl = new byte[36];
    ByteBuffer.wrap(smpl).order(ByteOrder.LITTLE_ENDIAN).putInt(12, 128).putInt(28, -1);
    byte[] data = chunk("data", 4, new byte[4]);
    byte[] inst = {60, 99, 0, 0, 0, 0, 0, 0};
    Path file = file(riff(STEREO_16, chunk("smpl", 36, smpl), chunk("inst", 7, inst), data));
    try (AudioFile audio = AudioFile.open(file)) {
      assertEquals(WavChunks.NONE, audio.chunks());
    }
  }

  @Test
  void validBitsOfFewerThanTheirBytesHold() throws IOException {
    ByteBuffer fmt = ByteBuffer.allocate(40).order(ByteOrder.LITTLE_ENDIAN);
    fmt.putShort((short) 0xFFFE).putShort((short) 1).putInt(48_000).putInt(0).putShort((short) 4);
    fmt.putShort((short) 32).putShort((short) 22).putShort((short) 20).putInt(0);
    fmt.putInt(1).putInt(0x0010_0000).putLong(0x719B_3800_AA00_0080L);
    byte[] data = chunk("data", 4, (byte) 0, (byte) 0, (byte) 0, (byte) 0x40);
    Path file = file(riff(chunk("fmt ", 40, fmt.array()), data));
    try (AudioFile audio = AudioFile.open(file)) {
      assertEquals(20, audio.bitDepth());
      assertEquals(0.5f, Clip.read(audio, 1).channel(0)[0]);
    }
  }

  /** Holes in the file keep it small on the disk. */
  @Test
  void moreThanFourGibibytes() throws IOException {
    for (String form : new String[] {"RF64", "BW64"}) {
      long frames = 1_500_000_000L;
      ByteBuffer head = ByteBuffer.allocate(12 + 36 + 24 + 8).order(ByteOrder.LITTLE_ENDIAN);
      head.put(form.getBytes(StandardCharsets.US_ASCII)).putInt(-1);
      head.put("WAVEds64".getBytes(StandardCharsets.US_ASCII)).putInt(28);
      head.putLong(72 + frames * 4).putLong(frames * 4).putLong(frames).putInt(0);
      head.put(STEREO_16).put("data".getBytes(StandardCharsets.US_ASCII)).putInt(-1);
      Path file = folder.resolve("long.wav");
      try (var out = Files.newByteChannel(file, WRITE_NEW)) {
        out.write(head.flip());
        out.position(80 + 4 * (frames - 2));
        out.write(ByteBuffer.wrap(new byte[] {0, 32, 0, 64, 0, -32, 0, -64}));
      }
      try (AudioFile audio = AudioFile.open(file)) {
        assertEquals(form, audio.container());
        assertEquals(frames, audio.frames());
        audio.seek(frames - 3);
        Clip end = Clip.read(audio, 10);
        assertEquals(3, end.frames());
        assertEquals(0, end.channel(0)[0]);
        assertEquals(0.25f, end.channel(0)[1]);
        assertEquals(-0.5f, end.channel(1)[2]);
      }
      Files.delete(file);
    }
  }

  private static final Set<StandardOpenOption> WRITE_NEW =
      EnumSet.of(
          StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE, StandardOpenOption.SPARSE);
}
