package takewright.audio;

import java.io.IOException;
import java.nio.file.Path;

/**
 * A file, or some of its channels.
 *
 * @param file the file
 * @param firstChannel first channel that is read, from 1; 0 for all of them
 * @param lastChannel last channel that is read; 0 for all of them
 */
public record AudioPiece(Path file, int firstChannel, int lastChannel) {
  public AudioPiece {
    boolean isAll = firstChannel == 0 && lastChannel == 0;
    if (!isAll && (firstChannel < 1 || lastChannel < firstChannel)) {
      throw new IllegalArgumentException(
          "channels must be 1 or more and in order, not " + firstChannel + " to " + lastChannel);
    }
  }

  /** A whole file. */
  public static AudioPiece whole(Path file) {
    return new AudioPiece(file, 0, 0);
  }

  /** Whether all channels of the file are read. */
  public boolean isWhole() {
    return firstChannel == 0;
  }

  /** Whether two pieces share a channel of the same file. */
  public boolean overlaps(AudioPiece other) {
    return file.equals(other.file)
        && (isWhole()
            || other.isWhole()
            || firstChannel <= other.lastChannel && other.firstChannel <= lastChannel);
  }

  /**
   * Opens it.
   *
   * @throws BadAudioException if it is not audio that can be read, or lacks a channel
   */
  AudioFile open() throws IOException {
    AudioFile whole = AudioFile.openChecked(file);
    if (isWhole()) {
      return whole;
    }
    if (lastChannel > whole.channels()) {
      int there = whole.channels();
      whole.close();
      throw new BadAudioException(
          file.toString(),
          "has " + there + (there == 1 ? " channel" : " channels") + " and no " + lastChannel,
          "correct the number after the #");
    }
    return new SomeChannels(whole, firstChannel - 1, lastChannel - firstChannel + 1);
  }
}
