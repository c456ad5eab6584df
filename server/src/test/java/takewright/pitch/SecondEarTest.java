package takewright.pitch;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.testing.Recordings;

/** What TarsosDSP's detectors say of the names of the recordings. */
class SecondEarTest {
  private static final List<String> INSTRUMENTS = List.of("violin", "contrabass", "saxophone");

  private static double hz(int midi) {
    return 440 * Math.pow(2, (midi - 69) / 12.0);
  }

  @Test
  void noRightNameIsContradicted() {
    List<String> contradicted = new ArrayList<>();
    for (String instrument : INSTRUMENTS) {
      for (Recordings.Note note : Recordings.of(instrument)) {
        for (double seconds : new double[] {0.3, 4}) {
          if (SecondEar.contradicts(note.read(seconds), hz(note.midi()))) {
            contradicted.add(instrument + " " + note.name() + " " + seconds + " s");
          }
        }
      }
    }
    assertEquals(List.of(), contradicted);
  }

  /** An octave, a fifth and a semitone off; a quarter of the notes are not clear enough to tell. */
  @Test
  void mostWrongNamesAreContradicted() {
    int found = 0;
    int all = 0;
    for (String instrument : INSTRUMENTS) {
      for (Recordings.Note note : Recordings.of(instrument)) {
        Clip clip = note.read(4);
        for (int off : new int[] {12, -12, 7, 1, -1}) {
          all++;
          found += SecondEar.contradicts(clip, hz(note.midi() + off)) ? 1 : 0;
        }
      }
    }
    assertTrue(found >= 0.85 * all, found + " of " + all);
  }

  @Test
  void noiseSilenceAndWhatIsShorterThanAWindowContradictNothing() {
    float[] noise = new float[48_000];
    SplittableRandom random = new SplittableRandom(3);
    for (int i = 0; i < noise.length; i++) {
      noise[i] = (float) (0.1 * random.nextGaussian());
    }
    assertFalse(SecondEar.contradicts(Clip.of(48_000, noise), 440));
    assertFalse(SecondEar.contradicts(Clip.of(48_000, new float[48_000]), 440));
    assertFalse(SecondEar.contradicts(Clip.of(48_000, new float[100]), 440));
  }
}
