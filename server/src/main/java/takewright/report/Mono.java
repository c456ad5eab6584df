package takewright.report;

import java.io.IOException;
import java.util.Arrays;
import takewright.audio.AudioFile;
import takewright.audio.Clip;

/**
 * One channel of sound to look at: the mean of all.
 *
 * @param samples full scale at ±1; not a copy
 * @param sampleRate frames per second
 */
record Mono(float[] samples, int sampleRate) {
  /**
   * The frames of a file from {@code from} (inclusive) to {@code to} (exclusive) or its end. Reads
   * a second at a time: a phrase in all channels at once would be too much for a small heap.
   */
  static Mono read(AudioFile file, long from, long to) throws IOException {
    int frames = (int) Math.max(0, Math.min(file.frames(), to) - from);
    float[] mono = new float[frames];
    file.seek(from);
    int at = 0;
    while (at < frames) {
      Clip block = Clip.read(file, Math.min(file.sampleRate(), frames - at));
      if (block.frames() == 0) {
        break;
      }
      System.arraycopy(block.mono(), 0, mono, at, block.frames());
      at += block.frames();
    }
    return new Mono(mono, file.sampleRate());
  }

  /** A copy of a part, which ends with the audio. */
  Mono part(long from, long to) {
    int end = (int) Math.min(samples.length, to);
    return new Mono(Arrays.copyOfRange(samples, (int) Math.min(from, end), end), sampleRate);
  }

  double seconds() {
    return (double) samples.length / sampleRate;
  }
}
