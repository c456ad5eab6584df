package takewright.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.util.Random;
import javax.imageio.ImageIO;
import javax.sound.sampled.AudioInputStream;
import javax.sound.sampled.AudioSystem;
import javax.sound.sampled.UnsupportedAudioFileException;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.Clip;
import takewright.library.take.LevelStrip;
import takewright.segment.Segment;
import takewright.segment.SegmentSettings;
import takewright.segment.Segmentation;

class PicturesTest {
  private static final int RATE = 48_000;

  private static float[] tone(double hz, double amplitude, double seconds) {
    float[] x = new float[(int) (seconds * RATE)];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (amplitude * Math.sin(2 * Math.PI * hz * i / RATE));
    }
    return x;
  }

  /** Compared with the JDK's reader of PNG files. */
  @Test
  void anotherReaderSeesTheSamePixels() throws IOException {
    byte[] pixels = new byte[3 * 37 * 11];
    new Random(5).nextBytes(pixels);
    BufferedImage read = ImageIO.read(new ByteArrayInputStream(Png.rgb(37, 11, pixels)));
    assertEquals(37, read.getWidth());
    assertEquals(11, read.getHeight());
    for (int i = 0; i < 37 * 11; i++) {
      int expected =
          (pixels[3 * i] & 255) << 16 | (pixels[3 * i + 1] & 255) << 8 | pixels[3 * i + 2] & 255;
      assertEquals(expected, read.getRGB(i % 37, i / 37) & 0xffffff, "pixel " + i);
    }
    byte[] grey = new byte[37 * 11];
    new Random(6).nextBytes(grey);
    BufferedImage shades = ImageIO.read(new ByteArrayInputStream(Png.grey(37, 11, grey)));
    for (int i = 0; i < grey.length; i++) {
      assertEquals(grey[i] & 255, shades.getRaster().getSample(i % 37, i / 37, 0), "pixel " + i);
    }
  }

  /** Compared with the JDK's reader of WAV files. */
  @Test
  void anotherReaderHearsTheSameSound() throws IOException, UnsupportedAudioFileException {
    float[] x = tone(440, 0.5, 0.1);
    byte[] wav = SoundBytes.wav(x, 1000, RATE, 0.5);
    try (AudioInputStream in = AudioSystem.getAudioInputStream(new ByteArrayInputStream(wav))) {
      assertEquals(RATE, in.getFormat().getSampleRate());
      assertEquals(1, in.getFormat().getChannels());
      assertEquals(1000, in.getFrameLength());
      byte[] data = in.readAllBytes();
      for (int i = 0; i < 1000; i++) {
        int heard = data[2 * i] & 255 | data[2 * i + 1] << 8;
        assertEquals(0.5 * x[i], heard / 32767.0, 1.0 / 32767, "frame " + i);
      }
    }
  }

  /** A sine of amplitude A has a level of 20 log A where a sine of full scale is 0 dB. */
  @ParameterizedTest
  @CsvSource({"55, 0.2", "440, 0.1", "3000, 0.01", "12000, 0.001"})
  void aToneIsBrightInItsBandAndAsBrightAsItIsLoud(double hz, double amplitude) {
    int columns = 9;
    byte[] grey = Spectrogram.of(tone(hz, amplitude, 1), RATE, columns);
    int brightest = 0;
    for (int b = 0; b < Spectrogram.BANDS; b++) {
      if ((grey[b * columns + 4] & 255) > (grey[brightest * columns + 4] & 255)) {
        brightest = b;
      }
    }
    double octaves = Math.log(Spectrogram.HIGHEST_HZ / Spectrogram.LOWEST_HZ) / Math.log(2);
    double band = (Spectrogram.BANDS - 0.5 - brightest) / Spectrogram.BANDS;
    double seen = Spectrogram.LOWEST_HZ * Math.pow(2, octaves * band);
    // A bin is 23 Hz wide.
    assertTrue(Math.abs(seen - hz) < Math.max(30, 0.07 * hz), hz + " Hz seen at " + seen);
    double db =
        (grey[brightest * columns + 4] & 255) / 255.0 * Spectrogram.RANGE_DB
            + Spectrogram.DARKEST_DBFS;
    // Steps of 3 dB, and up to 1.4 dB lost between two bins of a Hann window (Harris 1978).
    assertEquals(20 * Math.log10(amplitude), db, 3.2);
  }

  @ParameterizedTest
  @CsvSource({"41.2, 12", "110, -30", "440, 7", "440, -48", "1760, 25", "3520, -20"})
  void thePitchLineLiesWhereTheToneIs(double hz, double cents) {
    double heard = hz * Math.pow(2, cents / 1200);
    float[] x = tone(heard, 0.2, 1);
    float[] second = tone(2 * heard, 0.3, 1);
    for (int i = 0; i < x.length; i++) {
      x[i] += second[i];
    }
    short[] line = PitchLine.of(x, RATE, hz);
    assertEquals(50, line.length);
    for (int i = 2; i < line.length - 2; i++) {
      assertEquals(cents, line[i], 1.5, "point " + i);
    }
  }

  @Test
  void silenceHasNoPitchAndNoOutline() {
    for (short point : PitchLine.of(new float[RATE], RATE, 440)) {
      assertEquals(PitchLine.NONE, point);
    }
    for (byte level : Waveform.of(new float[1000], 10, 1)) {
      assertEquals(0, level);
    }
  }

  @Test
  void anOutlineHoldsTheLowestAndHighestOfEachStretch() {
    float[] x = new float[100];
    x[15] = -0.5f;
    x[99] = 1f;
    byte[] outline = Waveform.of(x, 10, 1);
    assertEquals(-64, outline[2]);
    assertEquals(0, outline[3]);
    assertEquals(127, outline[19]);
  }

  /** However a take is read, its steps are the same. */
  @ParameterizedTest
  @CsvSource({"1000", "2400", "7001"})
  void aStripHoldsThePeakOfEachStep(int block) throws IOException {
    float[] x = new float[RATE];
    x[3000] = -0.1f;
    x[24_000] = 1;
    LevelStrip strip = new LevelStrip(Clip.of(RATE, x).source());
    float[][] into = new float[1][block];
    while (strip.read(into, 0, block) > 0) {
      continue;
    }
    byte[] levels = strip.levels();
    assertEquals(20, levels.length);
    for (int i = 0; i < levels.length; i++) {
      // -20 dBFS is three quarters of the way up from -80.
      int expected = i == 1 ? Math.round(255 * 0.75f) : i == 10 ? 255 : 0;
      assertEquals(expected, levels[i] & 255, "step " + i);
    }
  }

  /** Whether a picture holds a line of a colour below its legend. */
  private static boolean holds(BufferedImage picture, int colour) {
    int found = 0;
    for (int y = 34; y < picture.getHeight(); y++) {
      for (int x = 56; x < picture.getWidth(); x++) {
        found += (picture.getRGB(x, y) & 0xffffff) == colour ? 1 : 0;
      }
    }
    return found > 1000;
  }

  @Test
  void samplesAndTakesAreDrawn() throws IOException {
    Clip sample = Clip.of(RATE, tone(440, 0.2, 2));
    byte[] png = SamplePicture.png(sample, Analyse.apply(sample, AnalyseSettings.DEFAULTS), "A4");
    assertEquals(900, ImageIO.read(new ByteArrayInputStream(png)).getWidth());

    float[] x = new float[130 * RATE];
    Random random = new Random(3);
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (3e-4 * random.nextGaussian());
    }
    float[] note = tone(220, 0.2, 2);
    for (int i = 0; i < note.length; i++) {
      x[70 * RATE + i] += note[i];
    }
    LevelStrip strip = new LevelStrip(Clip.of(RATE, x).source());
    Segmentation found = Segment.apply(strip, SegmentSettings.DEFAULTS);
    BufferedImage take =
        ImageIO.read(
            new ByteArrayInputStream(TakePicture.png(found, strip.levels(), midi -> "A3")));
    assertEquals(1, found.regions().size());
    // White noise of 3e-4 is -70.5 dBFS (RMS), of which two thirds lie in the bands up to 16 kHz:
    // 1.8
    // dB less. A sound must rise 9 dB over it.
    int middle = found.room().steps() / 2;
    assertEquals(-72.3, found.room().levelDbfs(middle), 0.5);
    assertEquals(-63.3, found.room().startDbfs(middle), 1);
    assertTrue(holds(take, Drawing.SKY) && holds(take, Drawing.ORANGE), "room and threshold");
    // Three strips of a minute; the region's green line stands in the second, at ten seconds.
    int greenRow = -1;
    for (int y = 0; y < take.getHeight() && greenRow < 0; y++) {
      for (int column = 56; column < 400; column++) {
        if ((take.getRGB(column, y) & 0xffffff) == Drawing.GREEN && y > 34) {
          greenRow = y;
          assertEquals(56 + 10 / 60.0 * 1172, column, 3);
          break;
        }
      }
    }
    assertEquals(34 + 76, greenRow, 2);
  }
}
