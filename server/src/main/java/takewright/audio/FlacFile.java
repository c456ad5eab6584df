package takewright.audio;

import java.io.IOException;

final class FlacFile {
  private FlacFile() {}

  static AudioFile read(FileBytes bytes) throws IOException {
    throw bytes.bad("is FLAC, which cannot be read yet; export it as WAV");
  }
}
