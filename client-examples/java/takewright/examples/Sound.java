package takewright.examples;

import com.google.protobuf.ByteString;
import java.io.IOException;
import java.io.InputStream;
import java.nio.file.AtomicMoveNotSupportedException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.function.Consumer;
import javax.sound.sampled.AudioFileFormat;
import javax.sound.sampled.AudioFormat;
import javax.sound.sampled.AudioInputStream;
import javax.sound.sampled.AudioSystem;
import javax.sound.sampled.UnsupportedAudioFileException;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;

/**
 * WAV files as the audio of a call, by the JDK's own reader and writer; it knows the extensible
 * headers that most programs write at 24 bits.
 */
final class Sound {
  /** The service takes messages of up to 1 MiB. */
  static final int CHUNK_BYTES = 256 * 1024;

  private Sound() {}

  /** The format of a file, as a call's settings name it. */
  static PcmFormat format(Path file) throws IOException {
    try (AudioInputStream audio = open(file)) {
      return format(file, audio.getFormat());
    }
  }

  /** Hands the audio of a file on in pieces that fit into a message. */
  static void read(Path file, Consumer<ByteString> take) throws IOException {
    try (AudioInputStream audio = open(file)) {
      int frame = audio.getFormat().getFrameSize();
      byte[] piece = new byte[CHUNK_BYTES / frame * frame];
      for (int n; (n = audio.read(piece)) > 0; ) {
        take.accept(ByteString.copyFrom(piece, 0, n));
      }
    }
  }

  private static AudioInputStream open(Path file) throws IOException {
    if (!Files.isRegularFile(file)) {
      throw new Problem(file + (Files.exists(file) ? " is not a file" : " does not exist"));
    }
    try {
      return AudioSystem.getAudioInputStream(file.toFile());
    } catch (UnsupportedAudioFileException e) {
      throw new Problem(
          file + " is no WAV file that Java reads; leave out --stream and let the service read it",
          e);
    }
  }

  private static PcmFormat format(Path file, AudioFormat format) {
    boolean isFloat = format.getEncoding().equals(AudioFormat.Encoding.PCM_FLOAT);
    boolean isInteger = format.getEncoding().equals(AudioFormat.Encoding.PCM_SIGNED);
    int bits = format.getSampleSizeInBits();
    PcmEncoding encoding =
        isFloat && bits == 32
            ? PcmEncoding.PCM_ENCODING_FLOAT32
            : isInteger && bits == 16
                ? PcmEncoding.PCM_ENCODING_INT16
                : isInteger && bits == 24
                    ? PcmEncoding.PCM_ENCODING_INT24
                    : isInteger && bits == 32 ? PcmEncoding.PCM_ENCODING_INT32 : null;
    if (encoding == null || format.isBigEndian()) {
      throw new Problem(
          file
              + " holds "
              + format
              + "; little-endian 16, 24 or 32-bit integers or 32-bit floats can be streamed; leave"
              + " out --stream and let the service read it");
    }
    return PcmFormat.newBuilder()
        .setEncoding(encoding)
        .setSampleRateHz((int) format.getSampleRate())
        .setChannels(format.getChannels())
        .build();
  }

  /** Bytes in a sample. */
  static int sampleBytes(PcmEncoding encoding) {
    return switch (encoding) {
      case PCM_ENCODING_INT16 -> 2;
      case PCM_ENCODING_INT24 -> 3;
      default -> 4;
    };
  }

  /** Refuses a name that is taken. */
  static void requireNew(Path file) {
    if (Files.exists(file, LinkOption.NOFOLLOW_LINKS)) {
      throw new Problem(file + " is there already and is not replaced; give another name");
    }
  }

  /** Writes raw audio as a new WAV file, which appears under its name only when it is complete. */
  static void write(Path raw, PcmFormat pcm, Path file) throws IOException {
    int frame = pcm.getChannels() * sampleBytes(pcm.getEncoding());
    boolean isFloat = pcm.getEncoding() == PcmEncoding.PCM_ENCODING_FLOAT32;
    AudioFormat format =
        new AudioFormat(
            isFloat ? AudioFormat.Encoding.PCM_FLOAT : AudioFormat.Encoding.PCM_SIGNED,
            pcm.getSampleRateHz(),
            8 * sampleBytes(pcm.getEncoding()),
            pcm.getChannels(),
            frame,
            pcm.getSampleRateHz(),
            false);
    Path part = Path.of(file + "." + ProcessHandle.current().pid() + ".part");
    try (InputStream in = Files.newInputStream(raw);
        AudioInputStream audio = new AudioInputStream(in, format, Files.size(raw) / frame)) {
      AudioSystem.write(audio, AudioFileFormat.Type.WAVE, part.toFile());
      requireNew(file);
      try {
        Files.move(part, file, StandardCopyOption.ATOMIC_MOVE);
      } catch (AtomicMoveNotSupportedException e) {
        Files.move(part, file);
      }
    } catch (IOException e) {
      throw new Problem(file + " cannot be written: " + e.getMessage(), e);
    } finally {
      Files.deleteIfExists(part);
    }
  }
}
