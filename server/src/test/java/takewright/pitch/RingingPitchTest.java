package takewright.pitch;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;

/**
 * Notes that are played while others ring on. Levels and decays are made up; intervals are those of
 * a guitar's strings, and the partials of a bar those of a uniform one (Fletcher and Rossing, The
 * Physics of Musical Instruments, 2nd edition, chapter 2.19).
 */
class RingingPitchTest {
  private static final int RATE = 48_000;
  private static final double[] STRING = {1, 2, 3, 4, 5, 6, 7, 8};
  private static final double[] BAR = {1, 2.756, 5.404};

  private static double hz(double midi) {
    return 440 * Math.pow(2, (midi - 69) / 12);
  }

  private static void ring(float[] audio, double midi, double[] ratios, double level) {
    for (int k = 0; k < ratios.length; k++) {
      double step = 2 * Math.PI * hz(midi) * ratios[k] / RATE;
      double fall = (1 + k) / (0.8 * RATE);
      for (int i = 0; i < audio.length && step < 0.9 * Math.PI; i++) {
        audio[i] += (float) (level / (k + 1) * Math.exp(-fall * i) * Math.sin(step * i + k));
      }
    }
  }

  private static void assertHeard(double midi, float[] audio, double expectedMidi) {
    Pitch heard = PitchOfNote.expecting(Clip.of(RATE, audio), hz(expectedMidi), 440);
    assertNotNull(heard);
    double cents = 100 * (69 - midi) + 1200 * Math.log(heard.frequencyHz() / 440) / Math.log(2);
    assertEquals(0, cents, 3, () -> "heard " + heard);
  }

  /** They repeat together after three or five periods of the higher one, which nobody plays. */
  @ParameterizedTest
  @CsvSource({"64, 71, 0.08", "64.05, 71.1, 0.05", "69, 76.06, 0.06", "55, 59.05, 0.08"})
  void aStringIsTunedByItselfWhileALowerOneRings(double lower, double note, double level) {
    float[] audio = new float[RATE / 2];
    ring(audio, note, STRING, 0.1);
    ring(audio, lower, STRING, level);
    assertHeard(note, audio, Math.rint(note));
  }

  /** The lower string has what the higher one and a ringing one lack. */
  @ParameterizedTest
  @CsvSource({"52, 71", "57, 76", "40, 59"})
  void aLowerStringIsHeardWhereAHigherOneWasExpected(double played, double expected) {
    float[] audio = new float[RATE / 2];
    ring(audio, played, STRING, 0.1);
    assertHeard(played, audio, expected);
  }

  @ParameterizedTest
  @CsvSource({"67.1, 63, 0.05", "60.1, 55, 0.04", "74.9, 67, 0.04"})
  void aBarIsTunedByItselfWhileALowerOneRings(double note, double lower, double level) {
    float[] audio = new float[RATE / 2];
    ring(audio, note, BAR, 0.1);
    ring(audio, lower, BAR, level);
    assertHeard(note, audio, Math.rint(note));
  }
}
