package takewright.pitch;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import be.tarsos.dsp.pitch.McLeodPitchMethod;
import be.tarsos.dsp.pitch.PitchDetector;
import be.tarsos.dsp.pitch.Yin;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;
import takewright.analyse.Analyse;
import takewright.audio.Clip;
import takewright.testing.Recordings;

/**
 * Why the pitch is not left to TarsosDSP: its detectors on the same recordings, each given the same
 * chance (windows over the first four seconds, the median of what they say).
 */
class TarsosComparisonTest {
  /** Long enough for two periods of the lowest note, F#1 at 46 Hz. */
  private static final int WINDOW = 4096;

  private static int heard(PitchDetector detector, Clip clip) {
    float[] audio = clip.mono();
    double[] found = new double[audio.length / WINDOW];
    int n = 0;
    for (int at = 0; at + WINDOW <= audio.length; at += WINDOW) {
      float hz = detector.getPitch(Arrays.copyOfRange(audio, at, at + WINDOW)).getPitch();
      if (hz > 0) {
        found[n++] = hz;
      }
    }
    Arrays.sort(found, 0, n);
    return n == 0 ? -1 : Pitch.of(found[n / 2], 440, 1).midi();
  }

  @Test
  void onTheDoubleBassItIsNoBetterThanOurOwn() {
    List<Recordings.Note> notes = Recordings.of("contrabass");
    int ours = 0;
    int yin = 0;
    int mcLeod = 0;
    for (Recordings.Note note : notes) {
      Clip clip = note.read(4);
      Pitch pitch = Analyse.pitch(clip, 440);
      ours += pitch != null && pitch.midi() == note.midi() ? 1 : 0;
      yin += heard(new Yin(clip.sampleRate(), WINDOW), clip) == note.midi() ? 1 : 0;
      mcLeod +=
          heard(new McLeodPitchMethod(clip.sampleRate(), WINDOW), clip) == note.midi() ? 1 : 0;
    }
    assertEquals(notes.size(), ours);
    assertTrue(yin <= ours && mcLeod < ours, "YIN " + yin + ", MPM " + mcLeod + " of " + ours);
  }
}
