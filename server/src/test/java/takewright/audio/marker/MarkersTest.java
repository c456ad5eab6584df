package takewright.audio.marker;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;
import net.jqwik.api.constraints.StringLength;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.Tools;
import takewright.audio.WavChunks;
import takewright.audio.original.OriginalFileException;
import takewright.audio.original.Originals;
import takewright.audio.write.WavFormat;
import takewright.audio.write.WavWriter;
import takewright.testing.Outside;

/** Markers in copies of takes, read back by others and by us. */
class MarkersTest {
  private static final int RATE_HZ = 48_000;
  private static final int FRAMES = 30_001;

  private static final WavChunks CHUNKS =
      new WavChunks(
          null,
          null,
          new WavChunks.Broadcast("a take", "recorder", "", "2026-01-02", "03:04:05", 99));

  private static final List<Marker> MARKERS =
      List.of(
          new Marker(0, 0, "start", ""),
          new Marker(4800, 9600, "C#4 p rr1", "heard C#4"),
          new Marker(20_000, 10_001, "taps \u00e9", "knock"),
          new Marker(30_000, 0, "", ""));

  /**
   * Reads the chunks as the standard of 1991 describes them, without our code: one line a point
   * with its frame, its length, its label and its note.
   */
  private static final String BY_OTHERS =
      """
      import struct, sys
      data = open(sys.argv[1], 'rb').read()
      at, points, length, label, note = 12, [], {}, {}, {}
      large = None
      while at + 8 <= len(data):
          name, size = data[at:at + 4], struct.unpack('<I', data[at + 4:at + 8])[0]
          if name == b'ds64':
              large = struct.unpack('<Q', data[at + 16:at + 24])[0]
          if name == b'data' and size == 0xFFFFFFFF:
              size = large
          body = data[at + 8:at + 8 + size]
          if name == b'cue ':
              for i in range(struct.unpack('<I', body[:4])[0]):
                  points.append(struct.unpack('<II4sIII', body[4 + 24 * i:28 + 24 * i]))
          if name == b'LIST' and body[:4] == b'adtl':
              sub = 4
              while sub + 8 <= len(body):
                  kind, n = body[sub:sub + 4], struct.unpack('<I', body[sub + 4:sub + 8])[0]
                  content = body[sub + 8:sub + 8 + n]
                  point = struct.unpack('<I', content[:4])[0]
                  if kind == b'ltxt':
                      length[point] = struct.unpack('<I', content[4:8])[0]
                  else:
                      assert content[-1] == 0, 'a text ends with a zero'
                      (label if kind == b'labl' else note)[point] = content[4:-1].decode()
                  sub += 8 + n + (n & 1)
              assert sub == len(body), 'the list ends with its last part'
          at += 8 + size + (size & 1)
      assert at == len(data), 'the file ends with its last chunk'
      for point, position, chunk, start, block, frame in points:
          assert (position, chunk, start, block) == (frame, b'data', 0, 0)
          print(frame, length.get(point, 0), label.get(point, ''), note.get(point, ''), sep='|')
      """;

  @TempDir Path folder;

  private Path take(int channels, int bits) throws IOException {
    float[][] planar = new float[channels][FRAMES];
    for (int c = 0; c < channels; c++) {
      for (int i = 0; i < FRAMES; i++) {
        planar[c][i] = (float) (0.3 * Math.sin(0.01 * (c + 1) * i));
      }
    }
    Path file = folder.resolve("take.wav");
    WavWriter.write(file, Clip.of(RATE_HZ, planar), bits, CHUNKS);
    return file;
  }

  private static byte[] audio(Path file) throws IOException {
    try (AudioFile audio = AudioFile.open(file)) {
      assertEquals(FRAMES, audio.frames());
    }
    // sox takes no notice of any chunk but those of the audio.
    Path raw = Files.createTempFile("audio", ".raw");
    try {
      Tools.run("sox", "-D", file, "-t", "raw", "-e", "signed", "-b", "32", raw);
      return Files.readAllBytes(raw);
    } finally {
      Files.delete(raw);
    }
  }

  private static List<String> byOthers(Path file) throws IOException {
    Path script = Files.createTempFile("markers", ".py");
    try {
      Files.writeString(script, BY_OTHERS);
      Process process =
          new ProcessBuilder(Outside.python().toString(), script.toString(), file.toString())
              .redirectErrorStream(true)
              .start();
      String text = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
      assertEquals(0, process.waitFor(), text);
      return text.lines().toList();
    } catch (InterruptedException e) {
      throw new IOException(e);
    } finally {
      Files.delete(script);
    }
  }

  @ParameterizedTest
  @CsvSource({"1, 16, RIFF", "1, 24, RIFF", "2, 24, RIFF", "1, 24, RF64", "6, 16, RF64"})
  void othersReadWhatWasMarked(int channels, int bits, String form) throws IOException {
    Path take = take(channels, bits);
    Path copy = folder.resolve("marked.wav");
    long largest = form.equals("RF64") ? 1000 : WavFormat.LARGEST_RIFF;

    MarkedCopy.write(take, copy, MARKERS, largest);

    assertEquals(
        List.of(
            "0|0|start|",
            "4800|9600|C#4 p rr1|heard C#4",
            "20000|10001|taps \u00e9|knock",
            "30000|0||"),
        byOthers(copy));
    assertEquals(form, new String(Files.readAllBytes(copy), 0, 4, StandardCharsets.US_ASCII));
    assertArrayEquals(audio(take), audio(copy), "the audio, by SoX");
    String sndfile = Tools.run("sndfile-info", copy);
    assertTrue(sndfile.contains("Frames      : " + FRAMES), sndfile);
    assertFalse(sndfile.contains("****"), sndfile);
    if (form.equals("RIFF")) { // libsndfile's reader of RF64 does not know cue points
      assertTrue(sndfile.contains("Count : 4"), sndfile);
      assertTrue(sndfile.contains("C#4 p rr1"), sndfile);
    }
    String ffmpeg = Tools.run("ffmpeg", "-v", "error", "-i", copy, "-map", "0", "-f", "md5", "-");
    assertEquals(
        Tools.run("ffmpeg", "-v", "error", "-i", take, "-map", "0", "-f", "md5", "-"), ffmpeg);
  }

  @Test
  void markersAreReadBackAndOtherChunksStay() throws IOException {
    Path copy = folder.resolve("marked.wav");

    MarkedCopy.write(take(1, 24), copy, MARKERS);

    assertEquals(MARKERS, Markers.read(copy));
    try (AudioFile audio = AudioFile.open(copy)) {
      assertEquals(CHUNKS, audio.chunks());
      assertEquals(24, audio.bitDepth());
    }
    assertEquals(List.of(), Markers.read(folder.resolve("take.wav")));
  }

  @Test
  void newMarkersTakeThePlaceOfOldOnes() throws IOException {
    Path first = folder.resolve("first.wav");
    Path second = folder.resolve("second.wav");
    MarkedCopy.write(take(1, 24), first, MARKERS);

    MarkedCopy.write(first, second, List.of(MARKERS.get(1)));

    assertEquals(List.of(MARKERS.get(1)), Markers.read(second));
    MarkedCopy.write(folder.resolve("take.wav"), first, List.of(MARKERS.get(1)));
    assertArrayEquals(Files.readAllBytes(first), Files.readAllBytes(second));
  }

  @Property(tries = 30)
  void anyMarkersAreReadBack(
      @ForAll @Size(max = 20) List<@IntRange(max = 100_000) Integer> frames,
      @ForAll @IntRange(max = 9999) int length,
      @ForAll @StringLength(max = 30) String text)
      throws IOException {
    Path own = Files.createTempDirectory("markers");
    try {
      String label = new String(text.getBytes(StandardCharsets.UTF_8), StandardCharsets.UTF_8);
      String clean = label.replace("\0", "");
      List<Marker> markers =
          frames.stream().sorted().map(f -> new Marker(f, length, clean, clean + "!")).toList();
      Path take = own.resolve("take.wav");
      WavWriter.write(take, Clip.of(RATE_HZ, new float[1001]), 24, WavChunks.NONE);
      Path copy = own.resolve("copy.wav");
      MarkedCopy.write(take, copy, markers);
      assertEquals(markers, Markers.read(copy));
      assertTrue(Originals.isOwn(copy));
    } finally {
      try (var files = Files.list(own)) {
        for (Path file : files.toList()) {
          Files.delete(file);
        }
      }
      Files.delete(own);
    }
  }

  @ParameterizedTest
  @ValueSource(strings = {"flac", "aiff"})
  void otherFormatsBecomeWav(String extension) throws IOException {
    Path other = folder.resolve("take." + extension);
    Tools.run("sox", "-D", take(2, 24), other);
    Path copy = folder.resolve("marked.wav");

    MarkedCopy.write(other, copy, MARKERS);

    assertEquals(MARKERS, Markers.read(copy));
    assertArrayEquals(audio(folder.resolve("take.wav")), audio(copy));
    try (var files = Files.list(folder)) {
      assertEquals(3, files.count(), "nothing else is left");
    }
  }

  @Test
  void onlyAnUneditedCopyIsReplaced() throws IOException {
    Path take = take(1, 24);
    Path copy = folder.resolve("marked.wav");
    MarkedCopy.write(take, copy, MARKERS);
    MarkedCopy.write(take, copy, MARKERS.subList(0, 2));
    assertEquals(2, Markers.read(copy).size());

    // A person moves a marker: from then on the file is theirs.
    byte[] bytes = Files.readAllBytes(copy);
    int cue = new String(bytes, StandardCharsets.ISO_8859_1).indexOf("cue ");
    ByteBuffer.wrap(bytes).order(ByteOrder.LITTLE_ENDIAN).putInt(cue + 12 + 20, 77);
    Files.write(copy, bytes);

    assertEquals(77, Markers.read(copy).get(0).frame());
    assertThrows(OriginalFileException.class, () -> MarkedCopy.write(take, copy, MARKERS));
    Path foreign = folder.resolve("foreign.wav");
    Tools.run("sox", "-n", "-r", "48000", foreign, "synth", "0.1", "sine", "440");
    assertThrows(OriginalFileException.class, () -> MarkedCopy.write(take, foreign, MARKERS));
    assertThrows(OriginalFileException.class, () -> MarkedCopy.write(foreign, foreign, MARKERS));
    try (var files = Files.list(folder)) {
      assertEquals(3, files.count(), "nothing half-written is left");
    }
  }

  @Test
  void aMarkerBeyondWhatAPointReachesIsRefused() throws IOException {
    Path take = take(1, 24);
    Path copy = folder.resolve("marked.wav");
    List<Marker> far = List.of(new Marker(1L << 32, 0, "", ""));

    assertThrows(IllegalArgumentException.class, () -> MarkedCopy.write(take, copy, far));
    assertFalse(Files.exists(copy));
    MarkedCopy.write(take, copy, List.of(new Marker((1L << 32) - 1, 0, "", "")));
    assertEquals((1L << 32) - 1, Markers.read(copy).get(0).frame());
  }

  @Test
  void aListThatEndsEarlyIsReadAsFarAsItGoes() throws IOException {
    Path copy = folder.resolve("marked.wav");
    MarkedCopy.write(take(1, 24), copy, MARKERS);
    byte[] bytes = Files.readAllBytes(copy);
    int label = new String(bytes, StandardCharsets.ISO_8859_1).indexOf("labl");
    ByteBuffer.wrap(bytes).order(ByteOrder.LITTLE_ENDIAN).putInt(label + 4, 0x7FFF_FFFF);
    Files.write(copy, bytes);

    List<Marker> markers = Markers.read(copy);

    assertEquals(4, markers.size());
    assertEquals("", markers.get(1).label());
  }
}
