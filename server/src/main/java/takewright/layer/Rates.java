package takewright.layer;

import takewright.diagnosis.SettingException;
import takewright.dsp.Resampler;

/** Whole clips brought to another rate. */
final class Rates {
  private Rates() {}

  /** Frames per second of the input and the output; the arrays themselves where they are alike. */
  static float[][] convert(float[][] channels, double inputRate, double outputRate) {
    if (inputRate == outputRate) {
      return channels;
    }
    int frames = channels[0].length;
    Resampler resampler = new Resampler(inputRate, outputRate, channels.length);
    long length = Resampler.outputFrames(frames, resampler.ratio());
    if (length > Integer.MAX_VALUE - 8) {
      throw new SettingException(
          "",
          "the audio is too long to be brought to another sample rate",
          "cut it into shorter pieces");
    }
    float[][] to = new float[channels.length][(int) length];
    int written = 0;
    int read = 0;
    while (read < length) {
      if (written < frames) {
        written += resampler.write(channels, written, frames - written);
      } else {
        resampler.end();
      }
      read += resampler.read(to, read, (int) length - read);
    }
    return to;
  }
}
