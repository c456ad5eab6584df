package takewright.library.sample;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Set;
import org.junit.jupiter.api.Test;
import takewright.analyse.AnalyseSettings;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;

/** What is said of a note whose sound is not the note that it should be; truth by arithmetic. */
class TuningTest {
  private static final int RATE = 48_000;
  private static final double A3_HZ = 220;
  private static final double LIMIT_CENTS = 30;

  private static Tuning asA3(double hz) {
    float[] x = new float[RATE];
    for (int i = 0; i < x.length; i++) {
      for (int k = 1; k <= 6; k++) {
        x[i] += (float) (0.2 * Math.sin(2 * Math.PI * k * hz * i / RATE) / k);
      }
    }
    return Tuning.of(
        Clip.of(RATE, x),
        AnalyseSettings.DEFAULTS,
        pitch -> 1200 * Math.log(pitch.frequencyHz() / A3_HZ) / Math.log(2),
        0,
        LIMIT_CENTS,
        false);
  }

  @Test
  void aNoteInItsPlaceHasNoFlag() {
    assertEquals(Set.of(), asA3(A3_HZ * Math.pow(2, 5.0 / 1200)).flags());
  }

  @Test
  void anOctaveAwayIsFlaggedOnEitherSide() {
    assertEquals(Set.of(Flag.OCTAVE_UNSURE), asA3(2 * A3_HZ).flags());
    assertEquals(Set.of(Flag.OCTAVE_UNSURE), asA3(A3_HZ / 2).flags());
  }

  @Test
  void aSemitoneAwayIsOutOfTuneAndNotMoved() {
    Tuning tuning = asA3(A3_HZ * Math.pow(2, 1.0 / 12));
    assertEquals(Set.of(Flag.OUT_OF_TUNE), tuning.flags());
    assertEquals(0, tuning.moveCents());
  }
}
