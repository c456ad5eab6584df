package takewright.segment;

import java.io.IOException;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/** Recorded speech, of which tests lay words over notes. */
public final class SpokenWords {
  private SpokenWords() {}

  /**
   * Words of up to two seconds, with peaks of -8 dBFS.
   *
   * @param rate at which they are wanted, in hertz
   * @param index of the recording
   */
  public static float[] word(int rate, int index) throws IOException {
    try (AudioFile file = AudioFile.open(Recordings.speech().get(index))) {
      Clip clip = Clip.read(file, (int) Math.min(file.frames(), 2 * file.sampleRate()));
      float[] x = TakeBuilder.faded(Retune.apply(clip, new RetuneSettings(0, rate)));
      float peak = 0;
      for (float sample : x) {
        peak = Math.max(peak, Math.abs(sample));
      }
      for (int i = 0; i < x.length; i++) {
        x[i] *= 0.4f / peak;
      }
      return x;
    }
  }
}
