package takewright.audio;

import java.io.IOException;
import java.nio.file.Path;

/** A WAV, AIFF or FLAC file open for reading; any frame can be gone to. */
public interface AudioFile extends AudioSource {
  /**
   * Opens a file by what is in it, whatever its name.
   *
   * @throws BadAudioException where it is empty, cut off, or not audio that can be read
   * @throws java.nio.file.NoSuchFileException where it is not there
   */
  static AudioFile open(Path file) throws IOException {
    throw new UnsupportedOperationException("not yet");
  }

  /** Goes to a frame, 0 to {@link #frames()}; the next read starts there. */
  void seek(long frame) throws IOException;

  /** Bits a sample as stored: 8 to 64. */
  int bitDepth();
}
