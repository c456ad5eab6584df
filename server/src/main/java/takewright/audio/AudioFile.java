package takewright.audio;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.BasicFileAttributes;
import takewright.audio.original.HeldFolder;

/**
 * A WAV, AIFF or FLAC file open for reading, with random access to frames.
 *
 * <p>Not thread-safe; the same file may be open any number of times.
 */
public interface AudioFile extends AudioSource {
  /** Minimum sample rate, in hertz. */
  int LOWEST_RATE = 8_000;

  /** Maximum sample rate, in hertz. */
  int HIGHEST_RATE = 192_000;

  /** Maximum number of channels. */
  int MAX_CHANNELS = 32;

  /**
   * Opens a file by its content, whatever its name.
   *
   * <p>Read are WAV (8 to 32-bit integer, 32 and 64-bit float; RIFF, RF64 and BW64), AIFF and
   * AIFF-C (uncompressed, either byte order, 32 and 64-bit float) and FLAC (up to 24 bits).
   *
   * @throws BadAudioException if it is empty, cut off, or not audio that can be read
   * @throws java.nio.file.NoSuchFileException if it does not exist
   */
  static AudioFile open(Path file) throws IOException {
    if (Files.isDirectory(file)) {
      throw new BadAudioException(file.toString(), "is a folder", "name an audio file in it");
    }
    if (Files.exists(file) && !Files.isRegularFile(file)) {
      // Opening a pipe would wait for its writer, perhaps forever.
      throw new BadAudioException(
          file.toString(), "is not an ordinary file", "copy the audio into one");
    }
    return open(file, FileChannel.open(file, StandardOpenOption.READ));
  }

  /**
   * The same by a path that was checked and has no links. A link that has come into it since is not
   * followed.
   */
  static AudioFile openChecked(Path real) throws IOException {
    try (HeldFolder folder = HeldFolder.of(real)) {
      BasicFileAttributes attributes = folder.attributes(real.getFileName().toString());
      if (attributes != null && attributes.isDirectory()) {
        throw new BadAudioException(real.toString(), "is a folder", "name an audio file in it");
      }
      if (attributes != null && !attributes.isRegularFile()) {
        throw new BadAudioException(
            real.toString(), "is not an ordinary file", "copy the audio into one");
      }
      return open(real, folder.read(real.getFileName().toString()));
    }
  }

  private static AudioFile open(Path file, FileChannel channel) throws IOException {
    try {
      FileBytes bytes = new FileBytes(file, channel);
      if (bytes.size() == 0) {
        throw bytes.bad("is empty", "record or copy it again");
      }
      return switch (bytes.size() < 12 ? "" : bytes.tag(0)) {
        case "RIFF", "RF64", "BW64" -> new PcmFile(bytes, WavHeader.read(bytes));
        case "FORM" -> new PcmFile(bytes, AiffHeader.read(bytes));
        case "fLaC" -> FlacFile.read(bytes);
        default -> throw bytes.bad("is not a WAV, AIFF or FLAC file", "export it as one of these");
      };
    } catch (IOException | RuntimeException e) {
      channel.close();
      throw e;
    }
  }

  /** Seeks to a frame, 0 to {@link #frames()}; the next read starts there. */
  void seek(long frame) throws IOException;

  /** Bits per sample as stored: 1 to 64; 32 or 64 for floats. */
  int bitDepth();

  /** Whether samples are stored as floating point. */
  boolean floatingPoint();

  /** Name of the file format: WAV, RF64, BW64, AIFF, AIFF-C or FLAC. */
  String container();

  /**
   * The chunks beside the audio of a WAV file, {@link WavChunks#NONE} for other formats. Chunks
   * that break their standard, and loops other than forward loops, are omitted.
   */
  WavChunks chunks();
}
