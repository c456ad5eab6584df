package takewright.pitch;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;

/**
 * Bars and stiff strings are heard as the note that a player names. Ratios of the partials:
 * Fletcher and Rossing, The Physics of Musical Instruments, 2nd edition, chapters 2.19 (uniform
 * bars), 19 (marimba, vibraphone, xylophone) and 12 (stiff strings); levels and decays are made up.
 */
class StruckPitchTest {
  private static final int RATE = 48_000;

  private static Clip struck(int midi, double[] ratios, double second, double seconds) {
    double hz = 440 * Math.pow(2, (midi - 69) / 12.0);
    float[] audio = new float[(int) (seconds * RATE)];
    double decayS = 3 * Math.pow(2, -(midi - 43) / 18.0);
    SplittableRandom random = new SplittableRandom(midi);
    for (int k = 0; k < ratios.length; k++) {
      double amplitude = k == 0 ? 1 : second / k;
      double fall = 6.9 / (decayS / (1 + 1.5 * k) * RATE);
      double step = 2 * Math.PI * hz * ratios[k] / RATE;
      double phase = 6 * random.nextDouble();
      for (int i = 0; i < audio.length && step < 0.9 * Math.PI; i++) {
        audio[i] += (float) (0.1 * amplitude * Math.exp(-fall * i) * Math.sin(step * i + phase));
      }
    }
    return Clip.of(RATE, audio);
  }

  private static List<String> wrong(double[] ratios, double second, double seconds) {
    List<String> wrong = new ArrayList<>();
    for (int midi = 55; midi <= 100; midi += 3) {
      Pitch heard = PitchOfNote.of(struck(midi, ratios, second, seconds), 440);
      // Two cents: a quarter of a second of a low bar holds few periods.
      if (heard == null || heard.midi() != midi || Math.abs(heard.cents()) > 2) {
        wrong.add(midi + " heard as " + heard);
      }
    }
    return wrong;
  }

  @ParameterizedTest
  @CsvSource({"0.3, 1.2", "0.7, 1.2", "0.3, 0.3", "0.7, 0.3"})
  void aUniformBarIsHeardAsItsLowestPartial(double second, double seconds) {
    assertEquals(List.of(), wrong(new double[] {1, 2.756, 5.404, 8.933}, second, seconds));
  }

  @ParameterizedTest
  @ValueSource(doubles = {1.2, 0.3})
  void tunedBarsAreHeardAsTheirLowestPartial(double seconds) {
    assertEquals(List.of(), wrong(new double[] {1, 3.93, 9.2, 16.3}, 0.7, seconds), "marimba");
    assertEquals(List.of(), wrong(new double[] {1, 4, 10, 18}, 0.7, seconds), "vibraphone");
    assertEquals(List.of(), wrong(new double[] {1, 3, 6.2, 10.3}, 0.7, seconds), "xylophone");
  }

  /** The partials of a stiff string lie at n √(1 + B n²); B of a guitar to that of a piano. */
  @ParameterizedTest
  @ValueSource(doubles = {1e-5, 1e-4, 1e-3})
  void aStiffStringIsHeardAsItsNote(double b) {
    double[] ratios = new double[16];
    for (int n = 1; n <= ratios.length; n++) {
      ratios[n - 1] = n * Math.sqrt((1 + b * n * n) / (1 + b));
    }
    List<String> wrong = new ArrayList<>();
    for (int midi = 43; midi <= 88; midi += 5) {
      Pitch heard = PitchOfNote.of(struck(midi, ratios, 0.8, 1), 440);
      if (heard == null || heard.midi() != midi) {
        wrong.add(midi + " heard as " + heard);
      }
    }
    assertEquals(List.of(), wrong);
  }

  /** A hum that holds as much power as the note is hardly heard beside it. */
  @ParameterizedTest
  @ValueSource(ints = {55, 62, 69, 81})
  void aNoteIsHeardAboveTheHumOfTheRoom(int midi) {
    float[] audio = struck(midi, new double[] {1, 2, 3, 4}, 0.5, 1).mono().clone();
    double power = 0;
    for (float x : audio) {
      power += x * x / audio.length;
    }
    for (int i = 0; i < audio.length; i++) {
      audio[i] += (float) (Math.sqrt(2 * power) * Math.sin(2 * Math.PI * 48.6 * i / RATE));
    }
    Pitch heard = PitchOfNote.of(Clip.of(RATE, audio), 440);
    assertEquals(midi, heard == null ? -1 : heard.midi());
  }
}
