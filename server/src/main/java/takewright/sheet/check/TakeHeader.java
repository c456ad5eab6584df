package takewright.sheet.check;

import takewright.audio.AudioFile;

/**
 * What the header of a recording says.
 *
 * @param sampleRate in hertz
 */
record TakeHeader(int sampleRate, long frames, int channels) {
  static TakeHeader of(AudioFile file) {
    return new TakeHeader(file.sampleRate(), file.frames(), file.channels());
  }

  double lengthS() {
    return (double) frames / sampleRate;
  }
}
