package takewright.sheet.check;

import takewright.audio.AudioFile;

/**
 * What the header of a recording says.
 *
 * @param sampleRate in hertz
 */
record Header(int sampleRate, long frames, int channels) {
  static Header of(AudioFile file) {
    return new Header(file.sampleRate(), file.frames(), file.channels());
  }

  double lengthS() {
    return (double) frames / sampleRate;
  }
}
