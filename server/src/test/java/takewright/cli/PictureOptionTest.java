package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import javax.imageio.ImageIO;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;

class PictureOptionTest {
  @TempDir Path folder;
  private Path note;
  private final ByteArrayOutputStream err = new ByteArrayOutputStream();

  @BeforeEach
  void note() throws IOException {
    float[] x = new float[48_000];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.2 * Math.sin(2 * Math.PI * 440 * i / 48_000));
    }
    note = folder.resolve("note.wav");
    WavWriter.write(note, Clip.of(48_000, x), 16, WavChunks.NONE);
  }

  private int run(Object... args) {
    String[] words = new String[args.length];
    for (int i = 0; i < args.length; i++) {
      words[i] = args[i].toString();
    }
    return Main.run(
        new PrintStream(java.io.OutputStream.nullOutputStream()),
        new PrintStream(err, true, StandardCharsets.UTF_8),
        words);
  }

  /** Compared with the JDK's reader of PNG files. */
  @Test
  void whatIsHeardIsDrawn() throws IOException {
    for (String command : new String[] {"analyse", "segment"}) {
      Path picture = folder.resolve(command + ".png");
      assertEquals(0, run(command, note, "--picture", picture), err.toString());
      assertTrue(ImageIO.read(picture.toFile()).getWidth() > 500);
    }
  }

  @Test
  void blocksHaveAPictureToo() throws IOException {
    Path picture = folder.resolve("blocks.png");
    assertEquals(0, run("analyse", note, "--blocks", 100, "--picture", picture), err.toString());
    assertTrue(Files.exists(picture));
  }

  @Test
  void soundIsNotWrittenOver() throws IOException {
    byte[] before = Files.readAllBytes(note);
    assertEquals(2, run("analyse", note, "--picture", note));
    assertTrue(err.toString(StandardCharsets.UTF_8).contains(".png"), err.toString());
    assertEquals(2, run("segment", note, "--picture", note));
    org.junit.jupiter.api.Assertions.assertArrayEquals(before, Files.readAllBytes(note));
  }

  @Test
  void aPictureOfSomeoneElseStaysAndTheErrorNamesTheWayOut() throws IOException {
    Path picture = Files.writeString(folder.resolve("photo.png"), "a person's own");
    assertEquals(2, run("segment", note, "--picture", picture));
    assertEquals("a person's own", Files.readString(picture));
    String line = err.toString(StandardCharsets.UTF_8);
    assertTrue(line.contains("photo.png"), line);
    assertTrue(line.contains("choose another name, or move it away"), line);
    assertFalse(line.contains("exists already"), line);
    assertEquals(1, line.strip().lines().count(), line);
  }

  @Test
  void onePictureHoldsOneSample() {
    Path picture = folder.resolve("two.png");
    assertEquals(2, run("analyse", note, note, "--picture", picture));
    assertFalse(Files.exists(picture));
  }
}
