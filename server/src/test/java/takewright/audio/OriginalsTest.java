package takewright.audio;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Random;
import java.util.stream.Stream;
import javax.imageio.ImageIO;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.original.AtomicFile;
import takewright.audio.original.OriginalFileException;
import takewright.audio.original.Originals;
import takewright.audio.write.WavKeys;
import takewright.audio.write.WavWriter;
import takewright.testing.Foreign;

/** Which files count as Takewright's own. The audio is invented. */
class OriginalsTest {
  @TempDir Path folder;
  private Path file;

  @BeforeEach
  void name() {
    file = folder.resolve("note.wav");
  }

  private static Clip clip(int channels, int frames) {
    float[][] planar = new float[channels][frames];
    Random random = new Random(channels);
    for (float[] x : planar) {
      for (int i = 0; i < frames; i++) {
        x[i] = (float) (0.1 * random.nextGaussian());
      }
    }
    return Clip.of(48_000, planar);
  }

  private static WavChunks chunks() {
    return new WavChunks(
        new WavChunks.Sampler(60, 12.5, List.of(new WavChunks.SampleLoop(10, 200))),
        new WavChunks.Instrument(60, 0, 0, 60, 60, 1, 127),
        new WavChunks.Broadcast("a note", "Takewright", "", "", "", 0));
  }

  private boolean isKept(Path path) throws IOException {
    byte[] before = Files.readAllBytes(path);
    assertThrows(OriginalFileException.class, () -> Originals.requireReplaceable(path));
    assertThrows(
        OriginalFileException.class, () -> WavWriter.write(path, clip(1, 10), 16, WavChunks.NONE));
    assertThrows(OriginalFileException.class, () -> AtomicFile.write(path, new byte[] {1, 2, 3}));
    try (Stream<Path> files = Files.list(folder)) {
      assertEquals(0, files.filter(f -> f.toString().endsWith(".part")).count());
    }
    assertArrayEquals(before, Files.readAllBytes(path));
    return true;
  }

  @ParameterizedTest
  @CsvSource({"1, 16, 1001", "1, 24, 1001", "2, 24, 777", "3, 32, 500", "1, 24, 0"})
  void whatIsWrittenIsOwnAndMayBeReplaced(int channels, int bits, int frames) throws IOException {
    WavWriter.write(file, clip(channels, frames), bits, chunks());
    assertTrue(Originals.isOwn(file));
    WavWriter.write(file, clip(channels, frames + 1), bits, WavChunks.NONE);
    assertTrue(Originals.isOwn(file));
  }

  @Test
  void soIsAnRf64File() throws IOException {
    try (WavWriter writer = WavWriter.create(file, 48_000, 2, 24, chunks(), 1000)) {
      float[][] audio = new float[2][500];
      writer.append(audio, 0, 500);
      writer.commit();
    }
    assertEquals("RF64", new String(Files.readAllBytes(file), 0, 4, StandardCharsets.US_ASCII));
    assertTrue(Originals.isOwn(file));
  }

  /** Every byte counts, those of the header and the chunks as well as the audio's. */
  @Test
  void aFileOfWhichAnyByteWasChangedIsItsEditors() throws IOException {
    WavWriter.write(file, clip(1, 300), 16, chunks());
    byte[] bytes = Files.readAllBytes(file);
    for (int i = 0; i < bytes.length; i++) {
      byte[] edited = bytes.clone();
      edited[i] ^= 0x10;
      Files.write(file, edited);
      assertFalse(Originals.isOwn(file), "byte " + i);
    }
    Files.write(file, bytes);
    assertTrue(Originals.isOwn(file));
  }

  @Test
  void newKeysRenewTheMark() throws IOException {
    WavWriter.write(file, clip(1, 300), 24, chunks());
    assertTrue(WavKeys.set(file, new WavChunks.Instrument(62, 0, 0, 61, 63, 1, 80)));
    assertTrue(Originals.isOwn(file));
  }

  /** Keys that are set in an edited file do not make it Takewright's. */
  @Test
  void newKeysDoNotVouchForTheAudio() throws IOException {
    WavWriter.write(file, clip(1, 300), 24, chunks());
    byte[] bytes = Files.readAllBytes(file);
    bytes[bytes.length / 2] ^= 1;
    Files.write(file, bytes);
    WavKeys.set(file, new WavChunks.Instrument(62, 0, 0, 61, 63, 1, 80));
    assertFalse(Originals.isOwn(file));
  }

  @ParameterizedTest
  @ValueSource(strings = {"take.wav", "sheet.yaml", "notes.csv", "page.html", "picture.png"})
  void aFileThatSomebodyElseMadeIsKept(String name) throws IOException {
    Path theirs = folder.resolve(name);
    if (name.endsWith(".wav")) {
      Foreign.wav(theirs, clip(2, 1000));
    } else {
      Files.writeString(theirs, "theirs");
    }
    assertTrue(isKept(theirs));
  }

  @Test
  void aLinkIsKeptEvenToAnOwnFile() throws IOException {
    WavWriter.write(file, clip(1, 300), 24, WavChunks.NONE);
    Path link = folder.resolve("link.wav");
    Files.createSymbolicLink(link, file);
    assertTrue(isKept(link));
    assertTrue(Files.isSymbolicLink(link));
  }

  @Test
  void aFolderIsNoFileToReplace() {
    assertThrows(OriginalFileException.class, () -> Originals.requireReplaceable(folder));
  }

  @ParameterizedTest
  @ValueSource(strings = {"page.html", "data.js", "style.css"})
  void pagesAndScriptsHaveAMark(String name) throws IOException {
    Path page = folder.resolve(name);
    AtomicFile.write(page, "const a = 1;\n".getBytes(StandardCharsets.UTF_8));
    assertTrue(Originals.isOwn(page));
    AtomicFile.write(page, "const a = 2;\n".getBytes(StandardCharsets.UTF_8));
    String text = Files.readString(page);
    assertTrue(text.startsWith("const a = 2;\n"));
    Files.writeString(page, text.replace("a = 2", "a = 3"));
    assertTrue(isKept(page));
  }

  /** A smallest picture, compared with the JDK's reader. */
  @Test
  void picturesHaveAMarkThatReadersPassOver() throws IOException {
    Path picture = folder.resolve("a.png");
    java.io.ByteArrayOutputStream png = new java.io.ByteArrayOutputStream();
    ImageIO.write(
        new java.awt.image.BufferedImage(3, 2, java.awt.image.BufferedImage.TYPE_INT_RGB),
        "png",
        png);
    AtomicFile.write(picture, png.toByteArray());
    assertTrue(Originals.isOwn(picture));
    assertEquals(3, ImageIO.read(picture.toFile()).getWidth());
    Files.write(picture, png.toByteArray());
    assertFalse(Originals.isOwn(picture), "saved anew by an editor that drops the mark");
  }

  /** Other programs read files with the mark, and what they write is theirs. */
  @Test
  void othersReadMarkedFilesAndTheirCopiesAreTheirs() throws Exception {
    WavWriter.write(file, clip(2, 48_000), 24, chunks());
    Path copy = folder.resolve("copy.wav");
    Tools.run("sox", file.toString(), copy.toString());
    assertFalse(Originals.isOwn(copy));
    String info = Tools.run("sndfile-info", file.toString());
    assertTrue(info.contains("48000"), info);
    String probe =
        Tools.run("ffprobe", "-v", "error", "-show_entries", "stream=duration_ts", file.toString());
    assertTrue(probe.contains("duration_ts=48000"), probe);
  }
}
