package takewright.examples;

import java.io.ByteArrayInputStream;
import java.io.File;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Random;
import javax.sound.sampled.AudioFileFormat;
import javax.sound.sampled.AudioFormat;
import javax.sound.sampled.AudioInputStream;
import javax.sound.sampled.AudioSystem;
import javax.sound.sampled.UnsupportedAudioFileException;

/** Tones whose notes are known, and what is read of sounds that come back. */
final class TestSounds {
  static final int RATE_HZ = 48_000;

  /** ISO 16: A4 is 440 Hz; C5 is three equal-tempered semitones above. */
  static final double A4_HZ = 440;

  static final double C5_HZ = A4_HZ * Math.pow(2, 3 / 12.0);

  /** Seconds: onset and end of each tone of the take, and its frequency. */
  static final double[][] TONES = {{1.0, 2.2, A4_HZ}, {3.2, 4.4, C5_HZ}, {5.4, 6.6, A4_HZ}};

  static final double TAKE_S = 7.6;

  private TestSounds() {}

  /** Tones with eight falling partials, the first at -12 dBFS, on noise of about -72 dBFS. */
  static double[] tones(double seconds, double[][] tones) {
    int frames = (int) Math.round(seconds * RATE_HZ);
    double[] sound = new double[frames];
    Random noise = new Random(5);
    for (int i = 0; i < frames; i++) {
      sound[i] = 2.5e-4 * noise.nextGaussian();
    }
    for (double[] tone : tones) {
      int from = (int) Math.round(tone[0] * RATE_HZ);
      int to = (int) Math.round(tone[1] * RATE_HZ);
      for (int i = from; i < to; i++) {
        double fade =
            Math.min(1, Math.min((i - from) / (0.003 * RATE_HZ), (to - i) / (0.05 * RATE_HZ)));
        double t = (double) (i - from) / RATE_HZ;
        for (int k = 1; k <= 8; k++) {
          sound[i] += 0.25 * Math.pow(0.3, k - 1) * fade * Math.sin(2 * Math.PI * k * tone[2] * t);
        }
      }
    }
    return sound;
  }

  /** A mono WAV file of 24 bits by the JDK's own writer, with the plain header of 44 bytes. */
  static Path write(Path file, double[] sound) throws IOException {
    ByteBuffer bytes = ByteBuffer.allocate(3 * sound.length).order(ByteOrder.LITTLE_ENDIAN);
    for (double value : sound) {
      int sample = (int) Math.round(value * 8_388_608); // full scale of 24 bits
      bytes.put((byte) sample).put((byte) (sample >> 8)).put((byte) (sample >> 16));
    }
    AudioFormat format = new AudioFormat(RATE_HZ, 24, 1, true, false);
    try (AudioInputStream stream =
        new AudioInputStream(new ByteArrayInputStream(bytes.array()), format, sound.length)) {
      AudioSystem.write(stream, AudioFileFormat.Type.WAVE, new File(file.toString()));
    }
    return file;
  }

  /** The first channel of a WAV file of 24 bits, full scale at ±1, by the JDK's own reader. */
  static double[] read(Path file) throws IOException {
    try (AudioInputStream audio = AudioSystem.getAudioInputStream(file.toFile())) {
      int frame = audio.getFormat().getFrameSize();
      if (audio.getFormat().getSampleSizeInBits() != 24) {
        throw new IOException(Files.size(file) + " bytes of " + audio.getFormat());
      }
      byte[] bytes = audio.readAllBytes();
      double[] sound = new double[bytes.length / frame];
      for (int i = 0; i < sound.length; i++) {
        int at = i * frame;
        sound[i] =
            ((bytes[at] & 0xff) | (bytes[at + 1] & 0xff) << 8 | bytes[at + 2] << 16) / 8_388_608.0;
      }
      return sound;
    } catch (UnsupportedAudioFileException e) {
      throw new IOException(file + ": " + e.getMessage(), e);
    }
  }

  /** RMS of a stretch in dBFS. */
  static double rmsDbfs(double[] sound, double fromS, double toS) {
    double sum = 0;
    int from = (int) (fromS * RATE_HZ);
    int to = (int) (toS * RATE_HZ);
    for (int i = from; i < to; i++) {
      sum += sound[i] * sound[i];
    }
    return 10 * Math.log10(sum / (to - from) + 1e-20);
  }

  /** Frequency of a tone, by its zero crossings between two times. */
  static double hertz(double[] sound, double fromS, double toS) {
    int first = -1;
    int last = -1;
    int crossings = 0;
    for (int i = (int) (fromS * RATE_HZ); i < (int) (toS * RATE_HZ); i++) {
      if (sound[i - 1] < 0 && sound[i] >= 0) {
        first = first < 0 ? i : first;
        last = i;
        crossings++;
      }
    }
    return (crossings - 1) * (double) RATE_HZ / (last - first);
  }
}
