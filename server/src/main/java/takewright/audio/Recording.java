package takewright.audio;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;

/**
 * What one microphone recorded: a file, some channels of one, or several that continue each other.
 * Frames are counted through all files, as if they lay end to end on one track.
 *
 * @param pieces at least one, in the order recorded
 */
public record Recording(List<AudioPiece> pieces) {
  public Recording {
    pieces = List.copyOf(pieces);
    if (pieces.isEmpty()) {
      throw new IllegalArgumentException("a recording needs a file");
    }
  }

  /** One whole file. */
  public static Recording of(Path file) {
    return new Recording(List.of(AudioPiece.whole(file)));
  }

  /** Its first file. */
  public Path firstFile() {
    return pieces.get(0).file();
  }

  /** Its files, in the order recorded. */
  public List<Path> files() {
    return pieces.stream().map(AudioPiece::file).toList();
  }

  /** Whether two recordings share a channel of the same file. */
  public boolean overlaps(Recording other) {
    return pieces.stream().anyMatch(one -> other.pieces.stream().anyMatch(one::overlaps));
  }

  /**
   * Opens it for reading.
   *
   * @throws BadAudioException if a file is not audio that can be read, lacks a channel, or has
   *     another sample rate, number of channels or encoding than the first
   * @throws java.nio.file.NoSuchFileException if one does not exist
   */
  public AudioFile open() throws IOException {
    return pieces.size() == 1 ? pieces.get(0).open() : JoinedFiles.open(pieces);
  }
}
