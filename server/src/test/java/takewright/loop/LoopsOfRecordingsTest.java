package takewright.loop;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.Map;
import java.util.TreeMap;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.Clip;
import takewright.dsp.LinearPrediction;
import takewright.pitch.Pitch;
import takewright.testing.Recordings;

/** Loops of the recordings' sustains, held for 10 s and listened to at each seam. */
class LoopsOfRecordingsTest {
  private static final double HELD_S = 10;

  @ParameterizedTest
  @ValueSource(strings = {"violin", "contrabass", "saxophone"})
  void aLoopHeldForTenSecondsHasNoSeam(String instrument) {
    Map<String, Integer> reasons = new TreeMap<>();
    int looped = 0;
    for (Recordings.Note note : Recordings.of(instrument)) {
      Clip sample = note.read(30);
      Pitch pitch = Analyse.pitch(sample, AnalyseSettings.DEFAULTS);
      LoopResult result = Loops.apply(sample, LoopSettings.of(pitch.frequencyHz()));
      reasons.merge(result.reason().isEmpty() ? "looped" : result.reason(), 1, Integer::sum);
      if (result.loop() != null) {
        looped++;
        listen(note.name(), sample, result, pitch.frequencyHz());
      }
    }
    assertTrue(looped >= reasons.values().stream().mapToInt(i -> i).sum() / 4, reasons.toString());
  }

  private static void listen(String name, Clip sample, LoopResult result, double hz) {
    int rate = sample.sampleRate();
    Loop loop = result.loop();
    float[] x = CrossFade.apply(sample, loop).mono();
    int length = loop.end() + 1 - loop.start();
    float[] held = new float[loop.start() + (int) (HELD_S * rate)];
    for (int i = 0; i < held.length; i++) {
      held[i] = x[i <= loop.end() ? i : loop.start() + (i - loop.start()) % length];
    }
    int window = (int) (Math.max(0.1, 6 / hz) * rate);
    int seam = loop.end() + 1;
    double db = level(held, seam, window) - level(held, seam - window, window);
    Colour brightness = new Colour(rate);
    double before = brightness.centroid(held, seam - window, window);
    double colour = brightness.centroid(held, seam, window) / before - 1;
    double click = click(sample.mono(), held, loop, rate);
    Pitch pitch =
        Analyse.pitch(
            Clip.of(rate, Arrays.copyOfRange(held, loop.start(), held.length)),
            AnalyseSettings.DEFAULTS.expecting(hz));
    double cents = 1200 * Math.log(pitch.frequencyHz() / hz) / Math.log(2);
    assertEquals(0, db, 1, name);
    assertEquals(0, colour, 0.05, name);
    assertEquals(0, cents, 1, name);
    // The mean over one time round, seam and all.
    double mean = MeanPitch.cents(held, loop.start() + length / 2, length, hz / rate);
    assertEquals(0, mean, 1, name);
    assertTrue(click < -60, name + " clicks at " + click + " dB");
  }

  private static double level(float[] x, int from, int count) {
    double sum = 0;
    for (int i = from; i < from + count; i++) {
      sum += (double) x[i] * x[i];
    }
    return 10 * Math.log10(sum / count);
  }

  /**
   * How far what is played up to the seam is from what was recorded up to there, against the note's
   * level: a jump would be heard as a click. Also nothing may stand out of what cannot be predicted
   * from the sound around, as a click does (3 dB over what there is within a quarter of a second).
   */
  private static double click(float[] x, float[] held, Loop loop, int rate) {
    int seam = loop.end() + 1;
    double jump = Math.abs(held[seam - 1] - x[loop.start() - 1]);
    double bend =
        Math.abs(held[seam - 1] - held[seam - 2] - x[loop.start() - 1] + x[loop.start() - 2]);
    int around = rate / 4;
    float[] part = Arrays.copyOfRange(held, seam - around, seam + around);
    double[] whitening = LinearPrediction.whitening(part, 0, 2 * around, 32);
    float[] left = LinearPrediction.filter(part, whitening);
    double max = 0;
    double there = 0;
    for (int i = 64; i < left.length; i++) {
      boolean atSeam = Math.abs(i - around) < 32;
      there = atSeam ? Math.max(there, Math.abs(left[i])) : there;
      max = atSeam ? max : Math.max(max, Math.abs(left[i]));
    }
    assertTrue(there < 1.41 * max, "something stands out at the seam");
    return 20 * Math.log10(Math.max(jump, bend) + 1e-10) - level(held, seam - around, 2 * around);
  }
}
