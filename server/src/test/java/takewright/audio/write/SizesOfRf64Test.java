package takewright.audio.write;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.testing.Ear;

/** The sizes in RF64 files, byte by byte as EBU Tech 3306 (clauses 2 and 3) has them. */
class SizesOfRf64Test {
  @TempDir Path folder;

  /**
   * The 32-bit fields hold FFFFFFFF; {@code ds64} holds the size of the whole file less 8, that of
   * the audio, and the number of frames.
   */
  @ParameterizedTest
  @CsvSource({"1, 16, 1000", "1, 24, 1001", "2, 24, 999", "3, 16, 7"})
  void ds64HoldsWhatDoesNotFit(int channels, int bits, int frames) throws IOException {
    Path file = folder.resolve("a.wav");
    WavChunks chunks = new WavChunks(new WavChunks.Sampler(61, 0, java.util.List.of()), null, null);
    try (WavWriter writer = WavWriter.create(file, 48_000, channels, bits, chunks, 100)) {
      writer.append(new float[channels][frames], 0, frames);
      writer.commit();
    }
    double[] read =
        new Ear(folder)
            .y(
                "b = open("
                    + Ear.quoted(file)
                    + ", 'rb').read()\n"
                    + "assert b[:4] == b'RF64' and b[8:16] == b'WAVEds64'\n"
                    + "riff, data, count = struct.unpack('<QQQ', b[20:44])\n"
                    + "at = b.index(b'data', 48)\n"
                    + "y = [struct.unpack('<I', b[4:8])[0], struct.unpack('<I', b[at + 4:at + 8])[0],"
                    + " riff, data, count]");
    long audio = (long) frames * channels * bits / 8;
    assertArrayEquals(
        new double[] {0xFFFF_FFFFL, 0xFFFF_FFFFL, Files.size(file) - 8, audio, frames}, read);
  }

  /**
   * {@code fact} counts frames, whatever their size (RIFF update of 1994, WAVE form, fact chunk).
   */
  @ParameterizedTest
  @CsvSource({"1, 24, 1001", "2, 24, 999", "3, 16, 7", "2, 32, 50"})
  void factCountsFrames(int channels, int bits, int frames) throws IOException {
    Path file = folder.resolve("a.wav");
    WavWriter.write(file, Clip.of(48_000, new float[channels][frames]), bits, WavChunks.NONE);
    double[] read =
        new Ear(folder).y("y = struct.unpack('<I', chunk(" + Ear.quoted(file) + ", b'fact'))");
    assertArrayEquals(new double[] {frames}, read);
  }
}
